import {
  type ComingShot,
  HOLDS_VERSION,
  type HoldSummary,
  type Production,
  type Puppet,
  type Repair,
  type ShotRecord,
  summariseHolds,
  type Verdict,
} from "../../model/index.ts";
import type { BenchShot } from "../../reports/bench/holds.ts";
import type { Kind, Records } from "../../store/port.ts";
import { drop, isWaiting, keep, sawRevision } from "../state/keeping.ts";
import { listKept, opened, readKept } from "../state/storage.ts";
import { createStore } from "../state/store.ts";
import { titleOf } from "../store/words.ts";
import type { nightReports } from "./night-reports.ts";

interface BenchData {
  /** "asking" until the store was read for the first time. */
  readonly phase: "asking" | "ready";
  readonly productions: readonly Production[];
  /** The one that is looked at; null: there is none yet. */
  readonly production: string | null;
  /** Of every production. */
  readonly records: readonly ShotRecord[];
  readonly holds: ReadonlyMap<string, readonly HoldSummary[]>;
  readonly repairs: readonly Repair[];
  readonly coming: readonly ComingShot[];
  readonly puppets: readonly Puppet[];
  readonly verdicts: readonly Verdict[];
}

/** What the store has for the bench. */
export const benchData = createStore<BenchData>({
  phase: "asking",
  productions: [],
  production: null,
  records: [],
  holds: new Map(),
  repairs: [],
  coming: [],
  puppets: [],
  verdicts: [],
});

const bench = [
  "production",
  "shot",
  "holds",
  "repair",
  "coming",
  "puppet",
  "verdict",
] as const satisfies readonly Kind[];

/** All of a kind; what this page has changed and not kept yet stays as it is here. */
async function listOwn<K extends "repair" | "coming">(
  kind: K,
  here: readonly Records[K][],
): Promise<readonly Records[K][]> {
  const there = await listKept(kind);
  for (const { value, revision } of there) if (!isWaiting(kind, value.id)) sawRevision(kind, value.id, revision);
  const waiting = here.filter(({ id }) => isWaiting(kind, id));
  return [...there.map(({ value }) => value).filter(({ id }) => !isWaiting(kind, id)), ...waiting];
}

/** Summaries that are missing, or of another version, are made again from their reports, one after the other. */
async function missingHolds(
  records: readonly ShotRecord[],
  holds: Map<string, readonly HoldSummary[]>,
): Promise<boolean> {
  let found = false;
  for (const { id, report } of records) {
    if (holds.has(id) || report === null) continue;
    const kept = await readKept("report", id);
    if (kept === null) continue;
    holds.set(id, summariseHolds(kept.value.report, null));
    found = true;
  }
  return found;
}

async function ask(): Promise<void> {
  const before = benchData.get();
  const [productions, shots, holds, puppets, verdicts, repairs, coming] = await Promise.all([
    listKept("production"),
    listKept("shot"),
    listKept("holds"),
    listKept("puppet"),
    listKept("verdict"),
    listOwn("repair", before.repairs),
    listOwn("coming", before.coming),
  ]);
  const records = shots.map(({ value }) => value);
  const known = new Map(
    holds.flatMap(({ value }) => (value.version === HOLDS_VERSION ? [[value.shot, value.holds] as const] : [])),
  );
  const all = productions.map(({ value }) => value);
  const last = records.toSorted((a, b) => ((b.opened ?? b.changed) < (a.opened ?? a.changed) ? -1 : 1))[0];
  const there = all.some(({ id }) => id === before.production) ? before.production : null;
  benchData.set({
    phase: "ready",
    productions: all,
    production: there ?? last?.production ?? all[0]?.id ?? null,
    records,
    holds: known,
    puppets: puppets.map(({ value }) => value),
    verdicts: verdicts.map(({ value }) => value),
    repairs,
    coming,
  });
  const more = new Map(known);
  if (await missingHolds(records, more)) benchData.set({ holds: more });
}

let followed = false;
let timer: ReturnType<typeof setTimeout> | undefined;

/** Reads the store for the bench, and follows it from then on. */
export function followBench(): void {
  if (followed) return;
  followed = true;
  void ask();
  void opened.then((store) =>
    store?.listen((touched) => {
      // Nothing touched: the store was wiped.
      if (touched.length > 0 && !touched.some(({ kind }) => bench.some((each) => each === kind))) return;
      clearTimeout(timer);
      timer = setTimeout(() => void ask(), 60);
    }),
  );
}

/** The shots of the production that is looked at, and the night reports that are at hand. */
export function benchShots(data: BenchData, night: ReturnType<typeof nightReports.get>): readonly BenchShot[] {
  const own = data.records
    .filter(({ production }) => production === data.production)
    .flatMap((record): BenchShot[] => {
      const holds = data.holds.get(record.id);
      return holds === undefined ? [] : [{ shot: record.id, shotName: titleOf(record), holds }];
    });
  const folders = new Set(data.records.map(({ folder, name }) => `${folder} ${name}`));
  const others = night.reports.flatMap(({ id, folder, shotName, holds }): BenchShot[] =>
    // A shot that is kept is told by what is kept of it.
    folders.has(`${folder} ${shotName}`) ? [] : [{ shot: id, shotName, holds }],
  );
  return [...own, ...others];
}

const nowText = (): string => new Date().toISOString();

/** The production that something new belongs to; the first one is made where there is none. */
function productionNow(): string {
  const { production } = benchData.get();
  if (production !== null) return production;
  const at = nowText();
  const made: Production = { id: crypto.randomUUID(), name: "First production", made: at, changed: at };
  keep("production", made, `the production ${made.name}`);
  benchData.set({ productions: [made], production: made.id });
  return made.id;
}

export type NewRepair = Omit<Repair, "id" | "production" | "made" | "changed">;

export function addRepair(entered: NewRepair): void {
  const at = nowText();
  const repair: Repair = { id: crypto.randomUUID(), production: productionNow(), made: at, changed: at, ...entered };
  keep("repair", repair, `the repair of ${repair.part}`);
  benchData.set({ repairs: [...benchData.get().repairs, repair] });
}

export function removeRepair({ id, part }: Repair): void {
  drop("repair", id, `the repair of ${part}`);
  benchData.set({ repairs: benchData.get().repairs.filter((repair) => repair.id !== id) });
}

export function addComing(entered: readonly Pick<ComingShot, "name" | "day" | "needs" | "note">[]): void {
  const at = nowText();
  const made = entered.map(
    (shot): ComingShot => ({ id: crypto.randomUUID(), production: productionNow(), made: at, changed: at, ...shot }),
  );
  for (const shot of made) keep("coming", shot, `the shot to come ${shot.name}`);
  benchData.set({ coming: [...benchData.get().coming, ...made] });
}

export function removeComing({ id, name }: ComingShot): void {
  drop("coming", id, `the shot to come ${name}`);
  benchData.set({ coming: benchData.get().coming.filter((shot) => shot.id !== id) });
}
