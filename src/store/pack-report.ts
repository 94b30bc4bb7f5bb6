import type { Report, Track } from "../model/index.ts";
import { trackStates } from "../model/kinds.ts";
import { decimalsUnder, tidy, tidyNumber } from "../model/tidy.ts";
import { frameNumber } from "../units/index.ts";

// A report as it is kept: the rows of its tracks as columns of numbers, all else as it is. A shot of 30 parts and 48
// frames has 1,400 rows of 17 keys, which as objects take twenty times as long to read.

/** Rises when the layout changes. */
export const PACKED_VERSION = 1;

const columns = [
  "dx",
  "dy",
  "turn",
  "sigmaDx",
  "sigmaDy",
  "rho",
  "sigmaTurn",
  "rawDx",
  "rawDy",
  "crawlPx",
  "floorPx",
] as const;
const decimals = columns.map(decimalsUnder);
const known: ReadonlySet<string> = new Set([...columns, "part", "frame", "anchor", "state", "reason"]);

export interface PackedReport {
  readonly packed: number;
  /** The report without its tracks. */
  readonly rest: Omit<Report, "tracks">;
  /** How many rows there are. */
  readonly rows: number;
  /** Column by column, `rows` numbers each, in the order of `columns`; NaN for null. */
  readonly numbers: Float64Array;
  /** Row by row: index of the part in `parts`, frame, anchor, index of the state, index of the reason in `reasons`. */
  readonly whole: Int32Array;
  readonly parts: readonly string[];
  readonly reasons: readonly string[];
  /** Keys that this version doesn't know, by row, so that nothing of a later one is lost. */
  readonly others: readonly (readonly [row: number, keys: Readonly<Record<string, unknown>>])[];
}

const WHOLE = 5;

/** Reports that were packed already, so that a long one is rounded once. */
const packed = new WeakMap<Report, PackedReport>();

/** Numbers are rounded as a report file rounds them: what is read back is what the file would hold. */
export function packReport(report: Report): PackedReport {
  const done = packed.get(report);
  if (done !== undefined) return done;
  const { tracks, ...rest } = report;
  const rows = tracks.length;
  const numbers = new Float64Array(rows * columns.length);
  const whole = new Int32Array(rows * WHOLE);
  const [parts, reasons] = [new Map<string, number>(), new Map<string, number>()];
  const indexIn = (list: Map<string, number>, text: string) => {
    const at = list.get(text) ?? list.size;
    if (at === list.size) list.set(text, at);
    return at;
  };
  const others: [number, Record<string, unknown>][] = [];
  tracks.forEach((row, i) => {
    columns.forEach((column, c) => {
      const value = row[column];
      numbers[c * rows + i] = value === null ? Number.NaN : (tidyNumber(value, decimals[c]) ?? Number.NaN);
    });
    whole.set(
      [indexIn(parts, row.part), row.frame, row.anchor, trackStates.indexOf(row.state), indexIn(reasons, row.reason)],
      i * WHOLE,
    );
    // Hardly ever is there a key more than are known.
    if (Object.keys(row).length === known.size) return;
    for (const key in row) {
      if (known.has(key)) continue;
      if (others.at(-1)?.[0] !== i) others.push([i, {}]);
      others[others.length - 1][1][key] = tidy(row[key as keyof Track], key);
    }
  });
  return {
    packed: PACKED_VERSION,
    // Of the report's own type: only numbers are rounded.
    rest: tidy(rest) as Omit<Report, "tracks">,
    rows,
    numbers,
    whole,
    parts: [...parts.keys()],
    reasons: [...reasons.keys()],
    others,
  };
}

/** @throws where it was packed by a later version */
export function unpackReport(kept: PackedReport): Report {
  if (kept.packed > PACKED_VERSION) {
    throw new Error(`was kept by a later Holdfast (layout ${kept.packed}; this one reads up to ${PACKED_VERSION})`);
  }
  const { rest, rows, numbers, whole, parts, reasons, others } = kept;
  const more = new Map(others);
  const tracks: Track[] = [];
  for (let i = 0; i < rows; i++) {
    const at = (column: number) => {
      const value = numbers[column * rows + i];
      return Number.isNaN(value) ? null : value;
    };
    const w = i * WHOLE;
    const row = {
      part: parts[whole[w]],
      frame: frameNumber(whole[w + 1]),
      anchor: frameNumber(whole[w + 2]),
      dx: at(0),
      dy: at(1),
      turn: at(2),
      sigmaDx: at(3),
      sigmaDy: at(4),
      rho: at(5),
      sigmaTurn: at(6),
      rawDx: at(7),
      rawDy: at(8),
      crawlPx: at(9),
      state: trackStates[whole[w + 3]],
      reason: reasons[whole[w + 4]],
      floorPx: at(10),
      ...more.get(i),
    };
    // The units were the schema's when it was packed.
    tracks.push(row as unknown as Track);
  }
  return { ...rest, tracks };
}

/** A report as it is read back: numbers rounded as in a file. What is worked out from it is then the same from either. */
export function asKept(report: Report): Report {
  const one = packReport(report);
  const rounded = unpackReport(one);
  packed.set(rounded, one);
  return rounded;
}
