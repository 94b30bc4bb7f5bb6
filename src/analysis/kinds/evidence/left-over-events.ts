import { median } from "../../../measure/statistics/robust.ts";
import { type Covariance, usualOf } from "../../../measure/usual-covariance.ts";
import type { Part } from "../../../model/index.ts";
import type { FrameNumber } from "../../../units/index.ts";
import type { LeftOverSeries } from "../../series.ts";
import type { CoursePoint } from "./course.ts";
import { type Contrast, slopeContrast, stepContrasts } from "./left-over-contrast.ts";
import { courseOfPatch } from "./left-over-course.ts";
import { type NodePatch, patchOf, pooledAt, toldByNodes } from "./left-over-patch.ts";
import { sizeOf } from "./left-over-size.ts";
import {
  bumpWindows,
  type NodeSeries,
  type NodeWindow,
  nodeSeries,
  RADII,
  squareOf,
  wholeWindow,
  windowsOf,
} from "./left-over-windows.ts";

// What slipped over its carrier: patches of neighbouring nodes that stepped, or went on from frame to frame.

/**
 * Standard errors that a patch must exceed. By null simulation (`npm run bench -- surface-thresholds`, noise that is
 * correlated and other than promised, 6 to 14 nodes a side, 10 to 48 rows) 2.5 in 10,000 held surfaces go beyond 4.7 by a
 * step and 5.6 to 6.4 by a slope; rendered clean cloth went to 4.6. On moving surfaces a step goes beyond 5.6 in one of a
 * hundred, most of it where noise is correlated, and what a turn leaves over goes on like a slope: stated numbers.
 */
const STEP_HELD = 5.1;
const STEP_MOVING = 6.3;
const SLOPE_HELD = 6.4;
const SLOPE_MOVING = 7;
export const stepZ = ({ held }: LeftOverSeries): number => (held ? STEP_HELD : STEP_MOVING);
export const slopeZ = ({ held }: LeftOverSeries): number => (held ? SLOPE_HELD : SLOPE_MOVING);
/** What interpolation, JPEG and a carrier that is not quite smooth leave at the least, px. */
const FLOOR = 0.004;
/** A patch that goes against a farther one, less than this share as far or as surely, is its counterpart in the field. */
const COUNTER = 0.7;
/** Most things that are told of one surface. */
const MOST = 4;
const LEAST_ROWS_OF_SLOPE = 5;
/** Standard errors over the carrier's own motion from which on that tells the size; else this share of a held one's is unsure. */
const TELLS_SIZE = 3;
const UNSURE = 0.3;
/** A surface rests where this share of its nodes moved less than that share of what moved farthest. */
const RESTING_SHARE = 0.1;
const RESTS = 0.55;

export interface LeftOverEvent {
  readonly series: LeftOverSeries;
  readonly part: Part;
  readonly family: "step" | "slope";
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  /** Rows from the step on; for a slope, all of them. */
  readonly rowsAfter: number;
  /** Largest standardised size over the windows. */
  readonly z: number;
  readonly contrast: Contrast;
  readonly patch: NodePatch;
  /** How far it had gone in each frame, as `patch.px` is told. */
  readonly course: readonly CoursePoint[];
}

interface Candidate {
  readonly contrast: Contrast;
  readonly window: NodeWindow;
  readonly z: number;
}

/**
 * Everything that slipped on one surface, the strongest first. What most of the surface did is the finer measure of
 * whether something slipped on it, its carrier's own motion the true one of how far.
 * @param all the series of one surface: see leftOverSeries
 */
export function leftOverEvents(all: readonly LeftOverSeries[]): LeftOverEvent[] {
  const out: LeftOverEvent[] = [];
  for (const series of all.toSorted((a, b) => (a.carrierBy === b.carrierBy ? 0 : a.carrierBy === "surface" ? -1 : 1)))
    for (const event of eventsOf(series)) {
      if (out.some((other) => other.patch.nodes.some((node) => event.patch.reach.has(node)))) continue;
      if (series.carrierBy === "surface" && out.some((other) => isCounter(event, other))) continue;
      const carrier = all.find((other) => other !== series && other.carrierBy === "carrier");
      const beside = carrier === undefined ? null : overCarrier(event, carrier);
      const whole = beside === null ? overResting(event) : null;
      const told = whole ?? beside ?? byItself(event);
      if (whole !== null && out.some((other) => other.patch.nodes.some((node) => whole.patch.reach.has(node))))
        continue;
      out.push(told);
    }
  return out.toSorted((a, b) => b.z - a.z).slice(0, MOST);
}

/** What one patch did shifts the field of the whole surface a little, so that the rest seems to go the other way. */
function isCounter(event: LeftOverEvent, main: LeftOverEvent): boolean {
  const [[x, y], [u, v]] = [event.patch.direction, main.patch.direction];
  const meets = event.from <= main.to && main.from <= event.to;
  return meets && x * u + y * v < 0 && (event.patch.px < COUNTER * main.patch.px || event.z < COUNTER * main.z);
}

/** All windows of a surface under all contrasts. */
function judgedWindows(series: LeftOverSeries, nodes: readonly (NodeSeries | null)[]): Judged | null {
  const windows = RADII.flatMap((radius) => windowsOf(series, nodes, radius));
  if (windows.length === 0) return null;
  if (series.held && series.carrierBy === "surface") {
    windows.push(...bumpWindows(series, nodes));
    const whole = wholeWindow(series, nodes);
    if (whole !== null) windows.push(whole);
  }
  const rows = series.frames.length;
  const steps: Contrast[] = [];
  for (let row = 1; row < rows; row++) steps.push(...stepContrasts(row, rows, !series.held));
  const contrasts = rows >= LEAST_ROWS_OF_SLOPE ? [...steps, slopeContrast(rows)] : steps;
  const judged = contrasts.map((one) => standardised(series, windows, one));
  const common = commonScale(judged.slice(0, steps.length));
  const sizes = judged.map((squares, k) => {
    // Where the surface itself stands for an animated carrier, what most of it did is the carrier after all: a turn out of
    // the picture goes on like a creep. A held carrier is stiff, so what bends on it slipped, be it most of the surface.
    const byItself = series.carrierBy === "surface" && !series.held;
    const own = byItself ? Math.sqrt(median(squares) / (2 * Math.LN2)) : 1;
    const scale = Math.max(1, common, own);
    return squares.map((square, w) => (windows[w].leastRows > contrasts[k].least ? 0 : Math.sqrt(square) / scale));
  });
  return { windows, contrasts, sizes };
}

interface Judged {
  readonly windows: readonly NodeWindow[];
  readonly contrasts: readonly Contrast[];
  /** Standard errors of each window, by contrast. */
  readonly sizes: readonly Float64Array[];
}

/** Largest standard errors over all windows and frames of a surface, by family: what null simulation needs. */
export function largestSizes(series: LeftOverSeries): Readonly<Record<Contrast["family"], number>> {
  const out = { step: 0, slope: 0 };
  const judged = judgedWindows(series, nodeSeries(series));
  judged?.contrasts.forEach(({ family }, c) => {
    out[family] = judged.sizes[c].reduce((most, size) => Math.max(most, size), out[family]);
  });
  return out;
}

function eventsOf(series: LeftOverSeries): LeftOverEvent[] {
  const nodes = nodeSeries(series);
  const judged = judgedWindows(series, nodes);
  if (judged === null) return [];
  const rows = series.frames.length;
  const out: LeftOverEvent[] = [];
  const taken = new Set<number>();
  const least = Math.min(stepZ(series), slopeZ(series));
  const candidates: Candidate[] = judged.contrasts.flatMap((contrast, c) =>
    judged.windows.flatMap((window, w) => {
      const z = judged.sizes[c][w];
      return z > least ? [{ contrast, window, z }] : [];
    }),
  );
  candidates.sort((a, b) => b.z - a.z);
  for (const candidate of candidates) {
    if (out.length >= MOST) break;
    if (taken.has(candidate.window.centre)) continue;
    const best = betterExplained(candidate, candidates);
    if (isOneFrame(best)) {
      taken.add(candidate.window.centre);
      continue;
    }
    const { contrast } = best;
    const patch = patchOf(series, nodes, contrast, best.window.centre, best.z);
    if (patch === null) {
      taken.add(candidate.window.centre);
      continue;
    }
    for (const node of patch.reach) taken.add(node);
    taken.add(candidate.window.centre);
    out.push({
      series,
      part: series.part,
      family: contrast.family,
      from: contrast.family === "step" ? series.frames[contrast.row] : onsetOf(series, nodes, patch),
      to: series.frames[rows - 1],
      rowsAfter: rows - contrast.row,
      z: best.z,
      contrast,
      patch,
      course: courseOfPatch(series, nodes, contrast, patch),
    });
  }
  return out;
}

/** The same slip told over the carrier's own motion, where that is known well enough. */
function overCarrier(event: LeftOverEvent, carrier: LeftOverSeries): LeftOverEvent | null {
  const nodes = nodeSeries(carrier);
  const windows = windowsOf(carrier, nodes, 1).filter(({ centre }) => centre === event.patch.peak);
  if (windows.length === 0) return null;
  const z = Math.sqrt(standardised(carrier, windows, event.contrast)[0]);
  const patch = patchOf(carrier, nodes, event.contrast, event.patch.peak, z);
  const { direction } = event.patch;
  const alike = patch !== null && patch.direction[0] * direction[0] + patch.direction[1] * direction[1] > 0.5;
  if (z > TELLS_SIZE && alike) return sized({ ...event, series: carrier, patch });
  return null;
}

/** The event with its size by shapes fitted to all nodes around, where they tell it. */
function sized(event: LeftOverEvent): LeftOverEvent {
  const { series, contrast, patch } = event;
  const nodes = nodeSeries(series);
  const size = sizeOf(series, nodes, contrast, patch.nodes, patch.direction, series.carrierBy === "surface");
  const told =
    size !== null && size.sigma < UNSURE * size.px
      ? { ...patch, ...size }
      : { ...patch, sigma: Math.max(patch.sigma, UNSURE * patch.px) };
  return { ...event, patch: told, course: courseOfPatch(series, nodes, contrast, told) };
}

/** A slip that nothing but its own series tells the size of. Of a held surface the field may have taken any share of it. */
function byItself(event: LeftOverEvent): LeftOverEvent {
  const { series, patch } = event;
  if (series.carrierBy === "carrier" || !series.held) return sized(event);
  return { ...event, patch: { ...patch, sigma: Math.max(patch.sigma, UNSURE * patch.px) } };
}

/**
 * The same slip where the rest of a held surface did not move at all against the set: then what moved, moved by all of
 * it, and the field that followed most of the surface took a part away.
 */
function overResting(event: LeftOverEvent): LeftOverEvent | null {
  const { series, contrast, z } = event;
  if (series.whole === undefined) return null;
  const whole: LeftOverSeries = { ...series, ...series.whole };
  const nodes = nodeSeries(whole);
  const far = toldByNodes(whole, nodes, contrast);
  const pooled = pooledAt(whole, far);
  const smooth = far.map((own, i) => (own === null ? Number.NaN : Math.hypot(...pooled(i))));
  const known = smooth.flatMap((value, i) => (Number.isFinite(value) ? [i] : [])).sort((a, b) => smooth[a] - smooth[b]);
  if (known.length === 0) return null;
  const start = known[known.length - 1];
  if (!(smooth[known[Math.floor(RESTING_SHARE * known.length)]] < RESTS * smooth[start])) return null;
  const patch = patchOf(whole, nodes, contrast, start, z);
  return patch === null ? null : { ...event, patch, course: courseOfPatch(whole, nodes, contrast, patch) };
}

/** Squares of the windows' sizes under one contrast, by the noise that the rows themselves show. */
function standardised(series: LeftOverSeries, windows: readonly NodeWindow[], contrast: Contrast): Float64Array {
  const carrier = usualOf(
    series.frames.slice(1).map((_, r): Covariance => {
      const [xx, xy, yy] = series.carrierCovariance.subarray(3 * r + 3, 3 * r + 6);
      return [xx, xy, yy];
    }),
  );
  const [better, worse] = contrast.noise(windows);
  return Float64Array.from(windows, ({ radius, x, y, axis: [c, s], variances }, w) => {
    const [dx, dy] = [contrast.of(x), contrast.of(y)];
    // What the field is wrong by goes into a mean over nodes, and not into a shape beside shift, turn and stretch.
    const [first, second] = [better[w] * variances[0], worse[w] * variances[1]];
    // The rows' scatter is the field's as well: only what neither nodes nor field promise makes the field less sure.
    const ofField = (carrier[0] + carrier[2]) / 2;
    const share = (better[w] * variances[0]) / (variances[0] + ofField);
    // What it is wrong by goes on from pair to pair like a creep, so a slope takes all of it.
    const unsure = radius === 0 ? 0 : contrast.family === "slope" ? better[w] : Math.min(better[w], Math.max(1, share));
    const { variance } = contrast;
    const floor = FLOOR ** 2;
    return squareOf(dx, dy, [
      variance * (first * c * c + second * s * s + unsure * carrier[0]) + floor,
      variance * ((first - second) * c * s + unsure * carrier[1]),
      variance * (first * s * s + second * c * c + unsure * carrier[2]) + floor,
    ]);
  });
}

/**
 * How much more all windows scatter than they should, in the steps that nothing happened in: the contrasts around a slip
 * all show some of it, so the quieter quarter of the rows is asked.
 */
function commonScale(judged: readonly Float64Array[]): number {
  if (judged.length === 0) return 1;
  const sizes = judged.map((one) => median(one)).sort((a, b) => a - b);
  return Math.sqrt(sizes[sizes.length >> 2] / (2 * Math.LN2));
}

/** A steady creep makes steps everywhere, a step makes a slope: whichever leaves less over in the window is told. */
function betterExplained(first: Candidate, all: readonly Candidate[]): Candidate {
  const { window } = first;
  const near = all.filter((one) => one.window === window);
  const left = ({ contrast }: Candidate): number =>
    tellingRows(window).reduce((sum, values) => sum + contrast.leaves(values), 0);
  return near.reduce((best, one) => (left(one) < left(best) ? one : best), first);
}

/** One frame out, then back: no slip. Of a step in the last frame that can't be told yet. */
function isOneFrame({ contrast, window }: Candidate): boolean {
  const told = tellingRows(window);
  let least = Number.POSITIVE_INFINITY;
  for (let row = 0; row < window.x.length; row++)
    least = Math.min(
      least,
      told.reduce((sum, values) => sum + leftWithout(values, row), 0),
    );
  return least < 0.9 * told.reduce((sum, values) => sum + contrast.leaves(values), 0);
}

/** What the rows are compared by: along lines is noise alone. */
const tellingRows = ({ whitened, isLined }: NodeWindow): readonly Float64Array[] =>
  isLined ? whitened.slice(0, 1) : whitened;

function leftWithout(values: Float64Array, row: number): number {
  let [sum, square] = [0, 0];
  values.forEach((value, r) => {
    if (r !== row) [sum, square] = [sum + value, square + value * value];
  });
  return square - (sum * sum) / (values.length - 1);
}

/** First frame from which on the patch stays beyond the noise of its rows. */
function onsetOf(series: LeftOverSeries, nodes: readonly (NodeSeries | null)[], patch: NodePatch): FrameNumber {
  const members = patch.nodes.flatMap((i) => nodes[i] ?? []);
  const [ux, uy] = patch.direction;
  const trace = series.frames.map(
    (_, r) => members.reduce((sum, { x, y }) => sum + x[r] * ux + y[r] * uy, 0) / Math.max(1, members.length),
  );
  const steps = trace.slice(1).map((value, r) => value - trace[r]);
  const middle = median(steps);
  // Two rows' noise is in each difference.
  const sigma = Math.max(FLOOR, (1.4826 * median(steps.map((value) => Math.abs(value - middle)))) / Math.SQRT2);
  let onset = trace.length - 1;
  for (let r = trace.length - 1; r >= 1; r--) {
    if (!(trace[r] > 3 * sigma)) break;
    onset = r;
  }
  return series.frames[onset];
}
