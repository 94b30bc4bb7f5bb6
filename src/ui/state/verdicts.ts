import {
  carryVerdicts,
  type Flag,
  type Judged,
  judgedFlagOf,
  type Report,
  type Sheet,
  type Verdict,
  type VerdictChoice,
  verdictLabels,
} from "../../model/index.ts";
import { drop, isWaiting, keep, onTaken, sawRevision, update } from "./keeping.ts";
import { session } from "./session.ts";
import { settings } from "./settings.ts";
import { listKept, opened, readKept } from "./storage.ts";
import { createStore } from "./store.ts";
import { view } from "./view.ts";

interface Verdicts {
  /** The shot they are of; null where nothing is open that can have any. */
  readonly shot: string | null;
  readonly list: readonly Verdict[];
  /** False until the store was asked. */
  readonly known: boolean;
  /** By the id of the report's flag. */
  readonly judged: ReadonlyMap<string, Judged>;
  /** Flags that the report before this one did not have. */
  readonly fresh: ReadonlySet<string>;
  /** What can be taken back, the last one at the end. */
  readonly past: readonly Step[];
  /** What was just done, to be read out. */
  readonly told: string;
}

/** A verdict before and after something was decided; null: there was, or is, none. */
interface Step {
  readonly flag: string;
  readonly before: Verdict | null;
  readonly after: Verdict | null;
  readonly words: string;
}

const MOST_STEPS = 200;
const none: ReadonlyMap<string, Judged> = new Map();

/** What was decided about the flags of the shot that is open. */
export const verdicts = createStore<Verdicts>({
  shot: null,
  list: [],
  known: false,
  judged: none,
  fresh: new Set(),
  past: [],
  told: "",
});

const flagsNow = () => {
  const { report, blank } = session.get();
  return blank ? [] : (report?.flags ?? []);
};

/** True where nothing has to be decided about it any more. */
export const isSettled = (judged: ReadonlyMap<string, Judged>, flag: string): boolean =>
  judged.get(flag)?.state === "settled";

/** The verdict that stands on a flag; null where there is none, or where the flag has grown since and is open again. */
export const verdictIn =
  (judged: ReadonlyMap<string, Judged>) =>
  (flag: Flag): Verdict | null =>
    isSettled(judged, flag.id) ? (judged.get(flag.id)?.verdict ?? null) : null;

function setList(list: readonly Verdict[], more: Partial<Verdicts> = {}): void {
  const flags = flagsNow();
  const judged = carryVerdicts(flags, list);
  const fresh = [...(more.fresh ?? verdicts.get().fresh)].filter((id) => !judged.has(id));
  verdicts.set({ ...more, list, judged, fresh: new Set(fresh) });
  const { shot, known } = verdicts.get();
  if (shot === null || !known || session.get().phase !== "checked" || session.get().cancelled) return;
  const found = { flags: flags.length, open: flags.filter(({ id }) => !isSettled(judged, id)).length };
  update("shot", shot, (there) => {
    if (there === null) return null;
    const same = there.found?.flags === found.flags && there.found.open === found.open;
    const sameFresh = (there.freshFlags ?? []).length === fresh.length;
    return same && sameFresh ? null : { ...there, found, freshFlags: fresh };
  });
}

/** A new report is there: these flags the one before did not have. */
export function setFresh(shot: string, fresh: readonly string[]): void {
  if (verdicts.get().shot === shot) setList(verdicts.get().list, { fresh: new Set(fresh) });
}

const nowText = () => new Date().toISOString();

/** Last frame of the hold that a flag ends in, by what the sheet or the report says; the shot's last where neither does. */
export function holdEnd(flag: Flag, report: Report, sheet: Sheet | null): number {
  const last = report.shot.frames.at(-1) ?? flag.to;
  if (flag.part === null) return last;
  const intents =
    sheet?.parts.find(({ id }) => id === flag.part)?.intents ??
    report.parts.find(({ id }) => id === flag.part)?.intents;
  return intents?.find(({ from, to }) => from <= flag.to && flag.to <= to)?.to ?? last;
}

function put(flag: Flag, after: Verdict | null, words: string): void {
  const { list, judged, past } = verdicts.get();
  const before = judged.get(flag.id)?.verdict ?? null;
  const rest = list.filter(({ id }) => id !== before?.id && id !== after?.id);
  if (after) keep("verdict", after, `the verdict on ${flag.id}`);
  if (before && before.id !== after?.id) drop("verdict", before.id, `the verdict on ${flag.id}`);
  setList(after ? [...rest, after] : rest, {
    past: [...past, { flag: flag.id, before, after, words }].slice(-MOST_STEPS),
    told: words,
  });
}

const base = (flag: Flag, shot: string): Verdict => {
  const before = verdicts.get().judged.get(flag.id)?.verdict;
  const at = nowText();
  return {
    id: before?.id ?? crypto.randomUUID(),
    shot,
    choice: before?.choice ?? "live-with-it",
    note: before?.note ?? "",
    untilFrame: null,
    made: before?.made ?? at,
    ...before,
    who: settings.get().who || (before?.who ?? ""),
    flag: judgedFlagOf(flag),
    changed: at,
  };
};

/** Decides about a flag. The same verdict again takes it back. */
export function judge(flag: Flag, choice: VerdictChoice): void {
  const { shot, judged } = verdicts.get();
  if (shot === null) return;
  const there = judged.get(flag.id);
  if (there?.state === "settled" && there.verdict.choice === choice && there.verdict.untilFrame === null) {
    put(flag, null, `No verdict any more: ${verdictLabels[choice]} taken back`);
    return;
  }
  put(flag, { ...base(flag, shot), choice, untilFrame: null }, `Verdict: ${verdictLabels[choice]}`);
}

/** "I know, until this hold ends": quiet until then, whatever it does. */
export function know(flag: Flag): void {
  const { shot } = verdicts.get();
  const { report, sheet } = session.get();
  if (shot === null || report === null) return;
  const until = holdEnd(flag, report, sheet) as Verdict["untilFrame"];
  put(flag, { ...base(flag, shot), choice: "live-with-it", untilFrame: until }, `Known until frame ${until}`);
}

/** The note of a verdict, as it is typed; it is no step of its own. */
export function setNote(flag: Flag, note: string): void {
  const { list, judged } = verdicts.get();
  const there = judged.get(flag.id)?.verdict;
  if (!there || there.note === note) return;
  const after = { ...there, note, changed: nowText() };
  keep("verdict", after, `the verdict on ${flag.id}`);
  setList(list.map((each) => (each.id === after.id ? after : each)));
}

/** Takes the last verdict back. */
export function undoVerdict(): void {
  const { past, list } = verdicts.get();
  const step = past.at(-1);
  if (!step) return;
  const { before, after, flag } = step;
  const rest = list.filter(({ id }) => id !== before?.id && id !== after?.id);
  if (before) keep("verdict", { ...before, changed: nowText() }, `the verdict on ${flag}`);
  else if (after) drop("verdict", after.id, `the verdict on ${flag}`);
  setList(before ? [...rest, before] : rest, { past: past.slice(0, -1), told: `Taken back: ${step.words}` });
  if (flagsNow().some(({ id }) => id === flag)) view.set({ flag });
}

/** What is in the store of the shot that is open; what this page has not kept yet stays as it is here. */
async function load(shot: string): Promise<void> {
  const [kept, record] = await Promise.all([listKept("verdict", { shot }), readKept("shot", shot)]);
  if (verdicts.get().shot !== shot) return;
  for (const { value, revision } of kept)
    if (!isWaiting("verdict", value.id)) sawRevision("verdict", value.id, revision);
  const here = verdicts.get().list.filter(({ id }) => isWaiting("verdict", id));
  const there = kept.map(({ value }) => value).filter(({ id }) => !isWaiting("verdict", id));
  setList([...there, ...here], {
    known: true,
    fresh: new Set(record?.value.freshFlags ?? []),
  });
}

/** Follows the shot that is open, and what other tabs decide about it, as long as the page is open. */
export function keepVerdicts(): void {
  let report: Report | null = null;
  session.listen(() => {
    const now = session.get();
    if (now.id !== verdicts.get().shot) {
      verdicts.set({ shot: now.id, list: [], known: false, judged: none, fresh: new Set(), past: [], told: "" });
      if (now.id !== null) void load(now.id);
    }
    if (now.report !== report) {
      report = now.report;
      setList(verdicts.get().list);
    }
  });
  const reload = () => {
    const { shot } = verdicts.get();
    if (shot !== null) void load(shot);
  };
  void opened.then((store) =>
    store?.listen((touched, own) => {
      if (!own && touched.some((each) => each.kind === "verdict" && each.shot === verdicts.get().shot)) reload();
    }),
  );
  onTaken((kind) => {
    if (kind === "verdict") reload();
  });
}
