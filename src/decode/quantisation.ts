import { isFrameStart, type Segment } from "./jpeg-markers.ts";

// The steps that a JPEG's cosine coefficients were rounded to (ITU-T T.81, annex B.2.4.1): what such a file lost can be
// told from them alone, whoever wrote it and whatever it calls its quality.

const DQT = 0xdb;
const COEFFICIENTS = 64;
/** The six lowest frequencies, in the order of the zigzag: the mean of a block and what changes over half of it or more. */
const LOW = 6;

/**
 * The tables of steps that stand before the first scan, by their number; each in the order of the zigzag. A later one
 * with the same number replaces an earlier one, as decoders take it; what is cut short counts as not there.
 */
function tablesOf(bytes: Uint8Array, segments: readonly Segment[]): ReadonlyMap<number, readonly number[]> {
  const tables = new Map<number, readonly number[]>();
  for (const { marker, body, end } of segments) {
    if (marker !== DQT) continue;
    for (let at = body; at < end; ) {
      const wide = bytes[at] >> 4 === 1 ? 2 : 1;
      const number = bytes[at] & 15;
      at++;
      if (at + wide * COEFFICIENTS > end) break;
      const from = at;
      tables.set(
        number,
        Array.from({ length: COEFFICIENTS }, (_, n) =>
          wide === 2 ? (bytes[from + 2 * n] << 8) | bytes[from + 2 * n + 1] : bytes[from + n],
        ),
      );
      at += wide * COEFFICIENTS;
    }
  }
  return tables;
}

/** Steps of the first component, which is luma but in rare RGB files, in the order of the zigzag; null where there are none. */
export function lumaSteps(bytes: Uint8Array, segments: readonly Segment[]): readonly number[] | null {
  const frame = segments.find(({ marker }) => isFrameStart(marker));
  // Component: its name, its sampling, its table (B.2.2).
  if (frame === undefined || frame.end - frame.body < 9) return null;
  return tablesOf(bytes, segments).get(bytes[frame.body + 8]) ?? null;
}

/** Largest step of the low frequencies, grey levels: 3 at the usual tables' quality 92. They hold most of what is seen. */
export const lowStep = (steps: readonly number[]): number => Math.max(...steps.slice(0, LOW));
