import { median } from "../../../measure/statistics/robust.ts";
import type { LeftOverSeries } from "../../series.ts";
import type { Contrast } from "./left-over-contrast.ts";
import { stepWeights, weighed } from "./left-over-step.ts";
import type { NodeSeries } from "./left-over-windows.ts";
import type { Point } from "./rigid.ts";
import { averaged } from "./seen-through-subset.ts";

// How far a patch slipped at its farthest. The farthest of many nodes is one that noise pushed on, so shapes are fitted to
// all nodes around: bumps (1 - (r / R)^p)^2 from a soft one to a plateau, as each subset, which averages over its own
// width, would show them. What they say is averaged by how well each fits, which also says how unsure it is.

/** Radii of patches that are tried, px, their powers, how likely each of these is beforehand, and places of the middle, nodes. */
const RADII = [20, 24, 28, 34, 42, 52, 66, 90, 150];
const POWERS = [2, 4, 8];
const LIKELY = [2, 1, 1];
const OFFSETS = [-1.5, -0.75, 0, 0.75, 1.5];
/** Nodes around the middle that tell the shape. */
const REACH = 5;
const LEAST_NODES = 12;
/** Where the surface's own nodes stand for the carrier, the field takes away up to about this share of the patch. */
const TAKEN = 0.15;
/** What interpolation, JPEG and a carrier that is not quite smooth leave at the least, px. */
const FLOOR = 0.004;

export interface PatchSize {
  readonly px: number;
  readonly sigma: number;
}

interface Sample {
  readonly c: number;
  readonly r: number;
  readonly value: number;
  /** Over its variance, of a pair of frames. */
  readonly weight: number;
}

/**
 * @param members nodes of the patch
 * @param direction which way it slipped, a unit vector
 * @param isTaken whether the series' field may have taken some of the patch away
 * @returns null where too few nodes tell it
 */
export function sizeOf(
  series: LeftOverSeries,
  nodes: readonly (NodeSeries | null)[],
  contrast: Contrast,
  members: readonly number[],
  direction: Point,
  isTaken: boolean,
): PatchSize | null {
  const [ux, uy] = direction;
  const { cells, covariance, size, step } = series;
  /** C^-1 u of a node: what it tells along the direction, by what it knows. */
  const toldBy = (i: number): Point => {
    const [xx, xy, yy] = covariance.subarray(3 * i, 3 * i + 3);
    const d = xx * yy - xy * xy;
    return [(yy * ux - xy * uy) / d, (xx * uy - xy * ux) / d];
  };
  const weightOf = (i: number): number => {
    const [a, b] = toldBy(i);
    return a * ux + b * uy;
  };
  const along = (i: number): Float64Array => {
    const [a, b] = toldBy(i);
    const { x, y } = nodes[i]!;
    return x.map((value, r) => (value * a + y[r] * b) / (a * ux + b * uy));
  };
  const inside = members.filter((i) => nodes[i] !== null);
  const trace = pooled(inside.map(along), inside.map(weightOf));
  if (trace === null) return null;
  const better = contrast.family === "step" ? stepWeights(trace, contrast.row, !series.held) : null;
  const used = better === null ? contrast : weighed(contrast, better);
  let [middleC, middleR, sum] = [0, 0, 0];
  for (const i of inside) {
    const value = Math.max(0, used.of(along(i))) * weightOf(i);
    middleC += value * cells[2 * i];
    middleR += value * cells[2 * i + 1];
    sum += value;
  }
  if (!(sum > 0)) return null;
  const middle: Point = [middleC / sum, middleR / sum];
  const samples = nodes.flatMap((own, i): Sample[] => {
    const [c, r] = [cells[2 * i] - middle[0], cells[2 * i + 1] - middle[1]];
    if (own === null || Math.hypot(c, r) > REACH) return [];
    return [{ c, r, value: used.of(along(i)), weight: weightOf(i) }];
  });
  if (samples.length < LEAST_NODES) return null;
  const fitted = fittedShapes(samples, size, step, isTaken ? TAKEN * used.of(trace) : 0);
  if (fitted === null) return null;
  const rows = series.frames.map((_, r) => series.carrierCovariance.subarray(3 * r, 3 * r + 3)).slice(1);
  const carrier = median(rows.map(([xx, xy, yy]) => xx * ux * ux + 2 * xy * ux * uy + yy * uy * uy));
  // What the rows of the whole patch show, carrier and all, or what its nodes promise: whichever is more.
  const whole = Math.max(better?.sigma ?? 0, Math.sqrt(contrast.variance * carrier));
  return { px: fitted.px, sigma: Math.hypot(fitted.sigma, whole, FLOOR) };
}

function pooled(rows: readonly Float64Array[], weights: readonly number[]): Float64Array | null {
  const total = weights.reduce((sum, value) => sum + value, 0);
  if (!(total > 0)) return null;
  return rows[0].map((_, r) => rows.reduce((sum, row, k) => sum + row[r] * weights[k], 0) / total);
}

/**
 * Height over all shapes, by the likelihood of each, and its scatter.
 * @param taken sigma of what the field may have taken away of all of it, px
 */
function fittedShapes(samples: readonly Sample[], size: number, step: number, taken: number): PatchSize | null {
  const fits: { readonly left: number; readonly value: number; readonly variance: number; readonly likely: number }[] =
    [];
  const usualLeft = samples.reduce((sum, { value, weight }) => sum + weight * value * value, 0);
  POWERS.forEach((power, p) => {
    const likely = LIKELY[p];
    for (const radius of RADII) {
      const height = averaged(radius, power, size, step);
      for (const u of OFFSETS)
        for (const v of OFFSETS) {
          // Height and, with a prior, what the field took away all over: two by two normal equations.
          let [hh, h1, hv, one, ov] = [0, 0, 0, 0, 0];
          for (const { c, r, value, weight } of samples) {
            const shown = height(Math.hypot(c - u, r - v) * step);
            hh += weight * shown * shown;
            h1 += weight * shown;
            hv += weight * shown * value;
            one += weight;
            ov += weight * value;
          }
          if (!(hh > 0)) continue;
          if (!(taken > 0)) {
            fits.push({ left: usualLeft - (hv * hv) / hh, value: hv / hh, variance: 1 / hh, likely });
            continue;
          }
          const prior = 1 / taken ** 2;
          const corner = one + prior;
          const d = hh * corner - h1 * h1;
          const value = (corner * hv - h1 * ov) / d;
          const offset = (hh * ov - h1 * hv) / d;
          fits.push({ left: usualLeft - value * hv - offset * ov, value, variance: corner / d, likely });
        }
    }
  });
  const kept = fits.filter(({ value }) => value > 0);
  if (kept.length === 0) return null;
  const least = Math.min(...kept.map(({ left }) => left));
  // Subsets overlap: so many nodes say as much as one. And they scatter as they scatter.
  const overlap = Math.max(1, (size / step) ** 2);
  const scale = (Math.max(1e-9, least) / samples.length) * overlap;
  let [weights, mean, square, within] = [0, 0, 0, 0];
  for (const { left, value, variance, likely } of kept) {
    const likelihood = likely * Math.exp(-(left - least) / (2 * scale));
    weights += likelihood;
    mean += likelihood * value;
    square += likelihood * value * value;
    within += likelihood * variance * scale;
  }
  mean /= weights;
  return { px: mean, sigma: Math.sqrt(Math.max(0, square / weights - mean * mean) + within / weights) };
}
