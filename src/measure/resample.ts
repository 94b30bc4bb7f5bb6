import type { Plane } from "./plane.ts";

// Moving a picture by a known fraction of a pixel, so well that what moved can't be told from what would have been taken:
// a sinc under a Kaiser window (Kaiser 1974) leaves all that lies below about 0.41 cycles a px as it is, noise too.

/** Taps on each side. */
export const TAPS = 12;
/** Width of the window's transition against its ripple: ripple of about 3e-4. */
const BETA = 6.76;
/** Phases between two pixels that weights are tabulated for; between them they are interpolated in a line. */
const PHASES = 512;
const WIDTH = 2 * TAPS;

/** Modified Bessel function of the first kind, order 0, by its series. */
function besselI0(x: number): number {
  let term = 1;
  let sum = 1;
  for (let k = 1; term > 1e-17 * sum; k++) {
    term *= (x / (2 * k)) ** 2;
    sum += term;
  }
  return sum;
}

function kernel(t: number): number {
  const edge = 1 - (t / TAPS) ** 2;
  if (edge <= 0) return 0;
  const sinc = t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t);
  return (sinc * besselI0(BETA * Math.sqrt(edge))) / besselI0(BETA);
}

/** Weights of each phase from 0 to 1, each summing to one, so that an even surface stays as it is. */
function tabulate(): Float64Array {
  const table = new Float64Array((PHASES + 1) * WIDTH);
  for (let p = 0; p <= PHASES; p++) {
    let sum = 0;
    for (let k = 0; k < WIDTH; k++) {
      table[p * WIDTH + k] = kernel(k - (TAPS - 1) - p / PHASES);
      sum += table[p * WIDTH + k];
    }
    for (let k = 0; k < WIDTH; k++) table[p * WIDTH + k] /= sum;
  }
  return table;
}

let table: Float64Array | null = null;

/** Value of a row of samples at place `at` (0 is the first one's middle); beyond its ends the last sample goes on. */
function sampleAt(row: ArrayLike<number>, start: number, stride: number, count: number, at: number): number {
  const weights = (table ??= tabulate());
  const whole = Math.floor(at);
  const phase = (at - whole) * PHASES;
  const below = Math.floor(phase);
  const share = phase - below;
  const first = whole - TAPS + 1;
  let [lower, upper] = [0, 0];
  const w = below * WIDTH;
  if (first >= 0 && first + WIDTH <= count) {
    for (let k = 0, i = start + first * stride; k < WIDTH; k++, i += stride) {
      const value = row[i];
      lower += weights[w + k] * value;
      upper += weights[w + WIDTH + k] * value;
    }
  } else {
    for (let k = 0; k < WIDTH; k++) {
      const i = first + k;
      const value = row[start + (i < 0 ? 0 : i >= count ? count - 1 : i) * stride];
      lower += weights[w + k] * value;
      upper += weights[w + WIDTH + k] * value;
    }
  }
  return lower + share * (upper - lower);
}

/** A rigid motion in the picture: a turn about a pivot, then a slide; px and radians, x right, y down. */
export interface RigidDrift {
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly pivot: readonly [number, number];
}

/** Where the motion takes a point, px. */
export function drifted({ dx, dy, turn, pivot }: RigidDrift, x: number, y: number): [number, number] {
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const [u, v] = [x - pivot[0], y - pivot[1]];
  return [pivot[0] + dx + c * u - s * v, pivot[1] + dy + s * u + c * v];
}

/**
 * A rectangle of the picture as it looks when all of it goes by `drift`: each pixel is the picture where the motion
 * came from. Two passes, along rows and then along columns (the idea of Catmull & Smith 1980), exact for turns far
 * below a quarter.
 * @returns width x height values, row-major
 */
export function resampled(
  source: Plane,
  left: number,
  top: number,
  width: number,
  height: number,
  drift: RigidDrift,
): Float64Array {
  const { turn, pivot } = drift;
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  // Of a pixel's middle (X, Y): it came from (a + c X + s Y, b - s X + c Y).
  const [px, py] = [pivot[0] + drift.dx, pivot[1] + drift.dy];
  const a = pivot[0] - c * px - s * py;
  const b = pivot[1] + s * px - c * py;
  const fromY = (x: number, y: number): number => b - s * (x + 0.5) + c * (y + 0.5) - 0.5;
  const [right, bottom] = [left + width - 1, top + height - 1];
  const corners = [fromY(left, top), fromY(right, top), fromY(left, bottom), fromY(right, bottom)];
  const firstRow = Math.floor(Math.min(...corners)) - TAPS;
  const rows = Math.ceil(Math.max(...corners)) + TAPS + 1 - firstRow;
  const { data } = source;
  // Each row of the source, shifted along itself to where the columns of the result cross it.
  const across = new Float64Array(rows * width);
  for (let r = 0; r < rows; r++) {
    const v = firstRow + r;
    const start = Math.max(0, Math.min(source.height - 1, v)) * source.width;
    for (let i = 0; i < width; i++) {
      const x = left + i + 0.5;
      const y = (v + 0.5 - b + s * x) / c;
      across[r * width + i] = sampleAt(data, start, 1, source.width, a + c * x + s * y - 0.5);
    }
  }
  const out = new Float64Array(width * height);
  for (let j = 0; j < height; j++)
    for (let i = 0; i < width; i++)
      out[j * width + i] = sampleAt(across, i, width, rows, fromY(left + i, top + j) - firstRow);
  return out;
}
