import { selected } from "./selected.ts";

// Location and scatter that a few wild values can't move.

/** Scale that makes the median absolute deviation the standard deviation of normal noise: 1 / Phi^-1(0.75). */
export const MAD_SCALE = 1.4826022185056018;

/** Bound at which Huber's location keeps 95 % of the mean's efficiency on normal noise (Huber 1964). */
export const HUBER_BOUND = 1.345;

/** Room for the values of a median, kept between calls. */
let room = new Float64Array(1024);

/** Middle value, or the mean of the two middle ones, as if NaN were larger than all; NaN for none. The input is left as it is. */
export function median(values: ArrayLike<number>): number {
  return medianAbout(values, Number.NaN);
}

/** Median of the values, or of their distances from a centre where that is a number. */
function medianAbout(values: ArrayLike<number>, centre: number): number {
  const n = values.length;
  if (room.length < n) room = new Float64Array(2 * n);
  let known = 0;
  for (let i = 0; i < n; i++) {
    const value = centre === centre ? Math.abs(values[i] - centre) : values[i];
    if (value === value) room[known++] = value;
  }
  const middle = n >> 1;
  if (middle >= known) return Number.NaN;
  const upper = selected(room, middle, known);
  if (n % 2 === 1) return upper;
  // What stands before it now is no larger.
  let lower = room[0];
  for (let i = 1; i < middle; i++) if (room[i] > lower) lower = room[i];
  return (lower + upper) / 2;
}

/** Median absolute deviation about the median times 1.4826, in the unit of the values; NaN for none (Hampel 1974). */
export function medianAbsoluteDeviation(values: ArrayLike<number>): number {
  const centre = median(values);
  return centre === centre ? MAD_SCALE * medianAbout(values, centre) : Number.NaN;
}

export interface Location {
  readonly value: number;
  /** Standard error of `value`, after Huber 1981, section 6.5: influence over its slope. */
  readonly sigma: number;
}

/**
 * Huber's M-estimate of location with the scale held at the MAD (Huber 1964). Values beyond `bound` scales count as if
 * they lay at the bound. A MAD of zero (half of the values equal) gives the median with sigma zero.
 */
export function huberLocation(values: ArrayLike<number>, bound = HUBER_BOUND): Location {
  const scale = medianAbsoluteDeviation(values);
  let centre = median(values);
  const n = values.length;
  if (!(scale > 0)) return { value: centre, sigma: scale };
  const reach = bound * scale;
  let inside = 0;
  let influence = 0;
  for (let round = 0; round < 200; round++) {
    let sum = 0;
    inside = 0;
    influence = 0;
    for (let i = 0; i < n; i++) {
      const off = values[i] - centre;
      const held = Math.min(Math.max(off, -reach), reach);
      if (held === off) inside++;
      sum += held;
      influence += held * held;
    }
    const move = sum / n;
    centre += move;
    if (Math.abs(move) <= 1e-12 * scale) break;
  }
  const share = inside / n;
  return { value: centre, sigma: Math.sqrt(influence / Math.max(1, n - 1) / n) / share };
}
