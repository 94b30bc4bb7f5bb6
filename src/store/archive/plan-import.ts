import {
  HOLDS_VERSION,
  parseReport,
  parseSheet,
  type Report,
  serialiseReport,
  type Sheet,
  summariseHolds,
} from "../../model/index.ts";
import type { Change, Records, ReportRecord, Store, Thumbnail, Written } from "../port.ts";
import { type Collected, exported, type ExportedKind } from "./format.ts";

// What an import would do, before it does it.

/** "merge": what is here stays, the later of two wins. "replace": what is here goes, the export takes its place. */
export type ImportMode = "merge" | "replace";

export interface KindCount {
  readonly kind: ExportedKind;
  /** Not here yet. */
  readonly fresh: number;
  /** Here in another version, and replaced by the export's: it is the later one, or everything is replaced. */
  readonly changed: number;
  readonly same: number;
  /** Here in another version that is later, or no earlier: what is here stays. */
  readonly conflicts: number;
  /** Here and not in the export; goes where everything is replaced. */
  readonly removed: number;
}

/** What belongs together is written together: one shot with all that is its own, or one list. */
type Batch = readonly Change[];

export interface ImportPlan {
  readonly mode: ImportMode;
  readonly counts: readonly KindCount[];
  /** What stays as it is here though the export has another version: "verdict on ...: the one here is later". */
  readonly kept: readonly string[];
  readonly batches: readonly Batch[];
}

/** Keys in one order, so that two objects that say the same are the same text. */
const sorted = (value: unknown): unknown => {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .filter(([, item]) => item !== undefined)
      .toSorted(([a], [b]) => (a < b ? -1 : 1))
      .map(([key, item]) => [key, sorted(item)]),
  );
};

/** What a report says, once it went through a file: defaults filled in, whatever the order of its keys. */
function meaningOf(report: Report): string {
  const read = parseReport(serialiseReport(report), "report");
  return JSON.stringify(sorted("report" in read ? read.report : report));
}

function isSame(kind: ExportedKind, a: Records[ExportedKind], b: Records[ExportedKind]): boolean {
  if (kind === "report") return meaningOf((a as ReportRecord).report) === meaningOf((b as ReportRecord).report);
  if (kind === "thumbnail") {
    const [one, other] = [(a as Thumbnail).bytes, (b as Thumbnail).bytes];
    return one.length === other.length && one.every((byte, i) => byte === other[i]);
  }
  // When a shot was last open is no change of it.
  const bare = (value: Records[ExportedKind]) => {
    const { opened: _, ...rest } = value as Records["shot"];
    return JSON.stringify(sorted(rest));
  };
  return bare(a) === bare(b);
}

function sheetOf(records: Collected, report: ReportRecord): Sheet | null {
  const kept = records.sheet.find(({ shot }) => shot === report.shot);
  if (kept === undefined) return null;
  const { frames, width, height } = report.report.shot;
  const read = parseSheet(kept.text, "sheet", { frames, width, height });
  return "sheet" in read ? read.sheet : null;
}

const nameOf = (kind: ExportedKind, record: Records[ExportedKind]): string => {
  if ("name" in record) return `${kind} ${record.name}`;
  if (kind === "verdict") return `verdict on ${(record as Records["verdict"]).flag.id}`;
  return `${kind} ${record.id}`;
};

/** Works out what an import does. Nothing is written. */
export async function planImport(
  store: Store,
  records: Collected,
  mode: ImportMode,
  pause: () => Promise<void> = () => Promise.resolve(),
): Promise<ImportPlan> {
  const kept: string[] = [];
  /** By the shot that a change belongs to; "" for what belongs to none. */
  const batches = new Map<string, Change[]>();
  const put = (shot: string, change: Change) => {
    const batch = batches.get(shot);
    if (batch) batch.push(change);
    else batches.set(shot, [change]);
  };
  const counts: KindCount[] = [];
  for (const kind of exported) {
    const tally = { fresh: 0, changed: 0, same: 0, conflicts: 0, removed: 0 };
    const incoming = records[kind] as readonly Records[typeof kind][];
    for (const record of incoming) {
      await pause();
      const there = await store.read(kind, record.id);
      const shot = kind === "shot" ? record.id : "shot" in record ? record.shot : "";
      const write = () => {
        put(shot, { kind, value: record, seen: there?.revision ?? 0 } as unknown as Change);
        if (kind === "report") {
          const report = record as ReportRecord;
          const holds = summariseHolds(report.report, sheetOf(records, report));
          put(shot, { kind: "holds", value: { id: record.id, shot, version: HOLDS_VERSION, holds }, seen: "any" });
        }
      };
      if (there === null) {
        tally.fresh += 1;
        write();
      } else if (isSame(kind, there.value, record)) tally.same += 1;
      else if (mode === "replace" || record.changed > there.value.changed) {
        tally.changed += 1;
        write();
      } else {
        tally.conflicts += 1;
        const why = record.changed < there.value.changed ? "is later" : "is as old and says something else";
        kept.push(`${nameOf(kind, there.value)}: the one here ${why} and stays`);
      }
    }
    if (mode === "replace") {
      const own = new Set(incoming.map(({ id }) => id));
      const gone = (await store.ids(kind)).filter((id) => !own.has(id));
      tally.removed = gone.length;
      for (const id of gone) {
        put("", { kind, remove: id, seen: "any" });
        if (kind === "shot") {
          put("", { kind: "place", remove: id, seen: "any" });
          put("", { kind: "holds", remove: id, seen: "any" });
        }
        if (kind === "report") put("", { kind: "holds", remove: id, seen: "any" });
      }
    }
    counts.push({ kind, ...tally });
  }
  // What belongs to none comes last: only when everything new is in does anything go.
  const { "": loose = [], ...ofShots } = Object.fromEntries(batches);
  return { mode, counts, kept, batches: [...Object.values(ofShots), ...(loose.length > 0 ? [loose] : [])] };
}

/** True where there is nothing to do. */
export const isIdle = (plan: ImportPlan): boolean => plan.batches.length === 0;

/** Carries a plan out, one shot after the other; ends at the first that can't be written, with what was written until then. */
export async function carryOut(
  store: Store,
  plan: ImportPlan,
  onProgress: (done: number, total: number) => void = () => {},
  pause: () => Promise<void> = () => Promise.resolve(),
): Promise<{
  readonly done: number;
  readonly total: number;
  readonly failed: Exclude<Written, { readonly ok: true }> | null;
}> {
  const total = plan.batches.length;
  for (const [done, batch] of plan.batches.entries()) {
    onProgress(done, total);
    await pause();
    const answer = await store.write(batch);
    if (!answer.ok) return { done, total, failed: answer };
  }
  onProgress(total, total);
  return { done: total, total, failed: null };
}
