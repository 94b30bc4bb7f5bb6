import type { Change, Kind, Records, Seen, Store, Touched, Written } from "../../store/port.ts";
import { opened, storage } from "./storage.ts";
import { addNotice } from "./session.ts";

// What people enter goes into the store as they enter it: a moment after the last stroke, and at once where the page is
// hidden or left. What can't be kept stays here, is said, and is tried again.

/** After the last change of one record, and at most after its first one, ms. */
const SETTLES_MS = 250;
const LATEST_MS = 700;
/** Between two tries where the disk is full or the store failed, ms. */
const AGAIN_MS = 4000;
/** With less than this left the disk is said to be nearly full, bytes. */
const LITTLE = 40e6;

type Make<K extends Kind> = (there: Records[K] | null) => Records[K] | null;

/** Something that is to be written: a person's own record, or one that is worked out from what is there. */
type Waiting =
  | { readonly sort: "own"; readonly change: Change }
  | { readonly sort: "made"; readonly kind: Kind; readonly id: string; readonly make: Make<Kind> }
  | { readonly sort: "new"; readonly kind: Kind; readonly make: () => Records[Kind] };

interface Entry {
  waiting: Waiting;
  readonly since: number;
  /** What a clash calls it. */
  what: string;
}

const entries = new Map<string, Entry>();
/** Revision of each record as this page last saw it. */
const seen = new Map<string, number>();
let timer: ReturnType<typeof setTimeout> | undefined;
let flushing: Promise<void> | null = null;
let keptSince = 0;

const keyOf = (kind: Kind, id: string) => `${kind} ${id}`;

/** A record was read at this revision: the next write of it is meant to follow that one. */
export const sawRevision = (kind: Kind, id: string, revision: number): void => {
  seen.set(keyOf(kind, id), revision);
};

/** True while this page holds a change of a record that isn't in the store yet. */
export const isWaiting = (kind: Kind, id: string): boolean => entries.has(keyOf(kind, id));

function later(ms: number): void {
  clearTimeout(timer);
  timer = setTimeout(() => void flush(), ms);
}

function put(key: string, waiting: Waiting, what: string): void {
  if (storage.get().phase === "closed") return;
  const there = entries.get(key);
  if (there) {
    there.waiting = waiting;
    there.what = what;
  } else entries.set(key, { waiting, since: performance.now(), what });
  if (storage.get().saving === "saved") storage.set({ saving: "saving" });
  const waited = performance.now() - (there?.since ?? performance.now());
  if (storage.get().saving === "saving") later(Math.max(0, Math.min(SETTLES_MS, LATEST_MS - waited)));
}

/** Keeps what a person entered. Where another tab changed the same record meanwhile, they are asked. */
export function keep<K extends Kind>(kind: K, value: Records[K], what: string): void {
  const change = { kind, value, seen: 0 } as unknown as Change;
  put(keyOf(kind, value.id), { sort: "own", change }, what);
  askToStay();
}

export function drop(kind: Kind, id: string, what: string): void {
  put(keyOf(kind, id), { sort: "own", change: { kind, remove: id, seen: 0 } }, what);
}

/** Keeps what is worked out: `make` is given what is there, whoever wrote it, and may be called again. Null: left alone. */
export function update<K extends Kind>(kind: K, id: string, make: Make<K>): void {
  const key = keyOf(kind, id);
  const before = entries.get(key)?.waiting;
  const own = make as unknown as Make<Kind>;
  const both: Make<Kind> =
    before?.sort === "made"
      ? (there) => {
          const made = before.make(there);
          return own(made ?? there) ?? made;
        }
      : own;
  put(key, { sort: "made", kind, id, make: both }, "");
}

/** Puts what is made from something else in the place of what is there; `make` is called when it is written. */
export function replace<K extends Kind>(kind: K, id: string, make: () => Records[K]): void {
  put(keyOf(kind, id), { sort: "new", kind, make }, "");
}

let asked = false;
/** Browsers throw away what pages keep when a disk fills up, unless a person's own work is in it. */
function askToStay(): void {
  if (asked || !("storage" in navigator)) return;
  asked = true;
  navigator.storage
    .persisted()
    .then(
      (isSo) => (isSo ? true : navigator.storage.persist()),
      () => false,
    )
    .catch(() => {});
}

let toldLittle = false;
async function lookAtRoom(): Promise<void> {
  const { quota, usage } = await navigator.storage.estimate();
  if (quota === undefined || usage === undefined) return;
  const left = quota - usage;
  if (left > LITTLE) toldLittle = false;
  else if (!toldLittle) {
    toldLittle = true;
    addNotice("The disk is nearly full", [
      `The browser has ${Math.max(0, Math.round(left / 1e6))} MB left for this page. Export the shots, then remove some, or make room on the disk.`,
    ]);
  }
}

const FULL = "The disk is full: what you enter now isn't kept yet";

function tellFull(): void {
  addNotice(FULL, [
    "Nothing is lost while this page stays open, and it is tried again every few seconds.",
    "Make room on the disk, remove shots you no longer need, or export this shot to a file (Open, Shots that are kept).",
  ]);
}

/** Turns what waits into changes; what needs to know what is there asks. */
async function changesOf(store: Store, batch: readonly Entry[]): Promise<readonly Change[]> {
  const changes = await Promise.all(
    batch.map(async ({ waiting }): Promise<Change | null> => {
      if (waiting.sort === "own") {
        const { change } = waiting;
        const id = "remove" in change ? change.remove : change.value.id;
        const saw: Seen = seen.get(keyOf(change.kind, id)) ?? 0;
        return { ...change, seen: saw };
      }
      if (waiting.sort === "new")
        return { kind: waiting.kind, value: waiting.make(), seen: "any" } as unknown as Change;
      const there = await store.read(waiting.kind, waiting.id);
      const value = waiting.make(there?.value ?? null);
      return value === null ? null : ({ kind: waiting.kind, value, seen: there?.revision ?? 0 } as unknown as Change);
    }),
  );
  return changes.filter((change) => change !== null);
}

function took(touched: readonly Touched[]): void {
  for (const { kind, id, revision } of touched) seen.set(keyOf(kind, id), revision);
}

/** One batch in one go. Where it meets another tab's work, record by record, so that one clash holds nothing else up. */
async function writeBatch(store: Store, batch: ReadonlyMap<string, Entry>): Promise<Written> {
  const done = (key: string, entry: Entry, waiting: Waiting) => {
    if (entries.get(key) === entry && entry.waiting === waiting) entries.delete(key);
  };
  const before = [...batch].map(([key, entry]) => ({ key, entry, waiting: entry.waiting }));
  const whole = await store.write(await changesOf(store, [...batch.values()]));
  if (whole.ok) {
    took(whole.touched);
    for (const { key, entry, waiting } of before) done(key, entry, waiting);
    return whole;
  }
  if (whole.code !== "changed" || batch.size === 1) {
    if (whole.code === "changed") {
      const [{ key, entry, waiting }] = before;
      // What is worked out is worked out again from what is there now; a person's own entry is asked about.
      if (waiting.sort === "own") {
        const { change } = waiting;
        const id = "remove" in change ? change.remove : change.value.id;
        clashing.set(key, entry);
        entries.delete(key);
        storage.set({
          clashes: [
            ...storage.get().clashes.filter((clash) => keyOf(clash.kind, clash.id) !== key),
            { kind: change.kind, id, what: entry.what },
          ],
        });
      }
    }
    return whole;
  }
  let last: Written = { ok: true, touched: [] };
  for (const one of batch) {
    const answer = await writeBatch(store, new Map([one]));
    if (!answer.ok && answer.code !== "changed") last = answer;
  }
  return last;
}

/** Own changes that another tab's stand against, until a person has said which. */
const clashing = new Map<string, Entry>();

/** Keeps this page's version of what two pages changed, or takes the other's. */
export async function settleClash(clash: Clash, mine: boolean): Promise<void> {
  const key = keyOf(clash.kind, clash.id);
  const entry = clashing.get(key);
  clashing.delete(key);
  storage.set({ clashes: storage.get().clashes.filter((each) => each !== clash) });
  const store = await opened;
  if (!store || !entry) return;
  const there = await store.read(clash.kind, clash.id);
  seen.set(key, there?.revision ?? 0);
  if (mine && !entries.has(key)) put(key, entry.waiting, entry.what);
  if (!mine) tellTaken(clash.kind, clash.id);
}
type Clash = ReturnType<typeof storage.get>["clashes"][number];

const taken = new Set<(kind: Kind, id: string) => void>();
/** What this page shows of a kind is to be what the store has now. */
export function tellTaken(kind: Kind, id = ""): void {
  for (const listener of taken) listener(kind, id);
}
/** Told where the store's version is to be shown. */
export const onTaken = (listener: (kind: Kind, id: string) => void): void => {
  taken.add(listener);
};

async function flushNow(): Promise<void> {
  const store = await opened;
  if (!store) {
    entries.clear();
    storage.set({ saving: "saved" });
    return;
  }
  // A person's own first: it needs to ask for nothing, and is on its way before a page that is left is gone.
  const own = [...entries].filter(([, { waiting }]) => waiting.sort === "own");
  const others = [...entries].filter(([, { waiting }]) => waiting.sort !== "own");
  const write = (batch: readonly [string, Entry][]): Promise<Written> =>
    (batch.length === 0
      ? Promise.resolve<Written>({ ok: true, touched: [] })
      : writeBatch(store, new Map(batch))
    ).catch((error: unknown): Written => ({ ok: false, code: "failed", detail: String(error) }));
  const answers = await Promise.all([write(own), write(others)]);
  const answer = answers.find((each) => !each.ok && each.code !== "changed") ?? answers[0];
  if (answer.ok || answer.code === "changed") {
    storage.set({ saving: entries.size === 0 ? "saved" : "saving" });
    if (entries.size > 0) later(0);
    keptSince += 1;
    if (keptSince % 20 === 1) void lookAtRoom().catch(() => {});
    return;
  }
  storage.set({ saving: answer.code });
  if (answer.code === "full") tellFull();
  else
    addNotice("The store can't be written to", [
      `${answer.detail}. What you entered stays in this page and is tried again; save the sheet and the report as files.`,
    ]);
  later(AGAIN_MS);
}

/** Writes what waits. */
export function flush(): Promise<void> {
  clearTimeout(timer);
  if (flushing)
    return flushing.then(() => (entries.size > 0 && storage.get().saving === "saving" ? flush() : undefined));
  if (entries.size === 0) return Promise.resolve();
  flushing = flushNow().finally(() => {
    flushing = null;
  });
  return flushing;
}

/** Sees to it that nothing is left behind when the page is hidden or left, as long as it is open. */
export function keepSaving(): void {
  // What this page wrote by other ways (an import) it has seen.
  void opened.then((store) => store?.listen((touched, own) => own && took(touched)));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") void flush();
  });
  window.addEventListener("pagehide", () => void flush());
  window.addEventListener("beforeunload", (event) => {
    void flush();
    const { saving, clashes } = storage.get();
    if ((saving === "full" || saving === "failed" || clashes.length > 0) && (entries.size > 0 || clashing.size > 0))
      event.preventDefault();
  });
}
