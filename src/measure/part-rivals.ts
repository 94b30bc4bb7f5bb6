import type { PartTemplate } from "./part-template.ts";
import type { PreparedFrame } from "./prepared.ts";

// Where a template looks like itself again: a weave or stripes have a period, and a jump of more than half of it could be
// one the other way. Found once a hold, as maxima of the template's own correlation on the half-size picture.

/** A place at which the template looks like itself, px from where it is (its opposite is one too). */
export interface Rival {
  readonly dx: number;
  readonly dy: number;
  /** Zero-mean normalised correlation there. */
  readonly correlation: number;
}

/** Farthest rival looked for, px of the half-size picture. */
const RADIUS = 12;
/** Nearer ones are the texture itself, px of the half-size picture. */
const NEAREST = 1.5;
/** What looks less alike is no rival. */
const ALIKE = 0.3;
/** Between here and a rival the correlation has to fall to this share of it: along stripes it does not. */
const DIP = 0.6;
/** Share of the template that has to overlap with itself. */
const LEAST_OVERLAP = 0.3;
const MOST_RIVALS = 4;
/** Of large parts every second pixel of the half-size picture will do, from so many on. */
const MANY = 8000;

/** No rival is nearer than this, px: one is told to a whole pixel of the half-size picture, and then to half of one. */
export const NEAREST_RIVAL = 2 * (NEAREST - Math.SQRT1_2);

/**
 * The template's rivals, the nearest first; told when they are first asked for, since hardly ever anybody needs them. What
 * they are told from is kept, the frame is not.
 */
export function rivalsOf(template: PartTemplate, frame: PreparedFrame): () => readonly Rival[] {
  const look = lookFor(template, frame);
  let rivals: readonly Rival[] | null = null;
  return () => {
    rivals ??= look();
    return rivals;
  };
}

function lookFor({ count, x, y }: PartTemplate, { half }: PreparedFrame): () => readonly Rival[] {
  const points: [number, number][] = [];
  for (let i = 0; i < count; i++) {
    if ((x[i] & 1) !== 0 || (y[i] & 1) !== 0) continue;
    const [u, v] = [x[i] >> 1, y[i] >> 1];
    if (u < half.width && v < half.height) points.push([u, v]);
  }
  if (points.length < 64) return () => [];
  const left = points.reduce((least, [u]) => Math.min(least, u), Number.POSITIVE_INFINITY);
  const top = points.reduce((least, [, v]) => Math.min(least, v), Number.POSITIVE_INFINITY);
  const width = points.reduce((most, [u]) => Math.max(most, u), 0) - left + 1;
  const height = points.reduce((most, [, v]) => Math.max(most, v), 0) - top + 1;
  // With a margin as wide as the search, so that nothing has to be asked at the edge; what is not the part weighs 0.
  const pitch = width + 2 * RADIUS;
  const values = new Float32Array(pitch * (height + 2 * RADIUS));
  const shown = new Uint8Array(values.length);
  const placeOf = ([u, v]: readonly [number, number]): number => (v - top + RADIUS) * pitch + u - left + RADIUS;
  for (const point of points) {
    values[placeOf(point)] = half.data[point[1] * half.width + point[0]];
    shown[placeOf(point)] = 1;
  }
  const thin = points.length > MANY ? 1 : 0;
  const from = Int32Array.from(
    points.filter(([u, v]) => (u & thin) === 0 && (v & thin) === 0),
    placeOf,
  );
  return () => rivalsIn(values, shown, from, pitch);
}

function rivalsIn(values: Float32Array, shown: Uint8Array, from: Int32Array, pitch: number): Rival[] {
  const correlationAt = (dx: number, dy: number): number => {
    let [n, a, b, aa, bb, ab] = [0, 0, 0, 0, 0, 0];
    const way = dy * pitch + dx;
    for (let i = 0; i < from.length; i++) {
      const there = from[i] + way;
      if (shown[there] === 0) continue;
      const p = values[from[i]];
      const q = values[there];
      n++;
      a += p;
      b += q;
      aa += p * p;
      bb += q * q;
      ab += p * q;
    }
    if (n < LEAST_OVERLAP * from.length) return 0;
    const spread = (aa - (a * a) / n) * (bb - (b * b) / n);
    return spread > 1e-9 ? (ab - (a * b) / n) / Math.sqrt(spread) : 0;
  };
  const side = 2 * RADIUS + 1;
  const scores = new Float64Array(side * side);
  const at = (dx: number, dy: number): number => (dy + RADIUS) * side + dx + RADIUS;
  for (let dy = 0; dy <= RADIUS; dy++)
    for (let dx = dy === 0 ? 0 : -RADIUS; dx <= RADIUS; dx++) {
      const score = correlationAt(dx, dy);
      scores[at(dx, dy)] = score;
      scores[at(-dx, -dy)] = score;
    }
  const rivals: Rival[] = [];
  for (let dy = 0; dy < RADIUS; dy++)
    for (let dx = dy === 0 ? 1 : 1 - RADIUS; dx < RADIUS; dx++) {
      const score = scores[at(dx, dy)];
      if (score < ALIKE || Math.hypot(dx, dy) < NEAREST) continue;
      const around = [-1, 0, 1].flatMap((q) => [-1, 0, 1].map((p) => scores[at(dx + p, dy + q)]));
      if (around.some((other) => other > score)) continue;
      const steps = Math.ceil(2 * Math.hypot(dx, dy));
      const way = Array.from(
        { length: steps },
        (_, i) => scores[at(Math.round((dx * i) / steps), Math.round((dy * i) / steps))],
      );
      if (Math.min(...way) > DIP * score) continue;
      // To a fraction of a pixel, by the parabola through its neighbours.
      const vertex = (before: number, after: number): number => {
        const bend = before - 2 * score + after;
        return bend < 0 ? (before - after) / (2 * bend) : 0;
      };
      rivals.push({
        dx: 2 * (dx + vertex(around[3], around[5])),
        dy: 2 * (dy + vertex(around[1], around[7])),
        correlation: score,
      });
    }
  return rivals.sort((a, b) => Math.hypot(a.dx, a.dy) - Math.hypot(b.dx, b.dy)).slice(0, MOST_RIVALS);
}
