import { median } from "../../../measure/statistics/robust.ts";
import type { LeftOverSeries } from "../../series.ts";
import type { CoursePoint } from "./course.ts";
import type { Contrast } from "./left-over-contrast.ts";
import type { NodePatch } from "./left-over-patch.ts";
import type { NodeSeries } from "./left-over-windows.ts";

/** Rows before a step that stand for where it began. */
const BEFORE = 4;
/** What interpolation and JPEG leave of a patch at the least, px. */
const FLOOR = 0.004;

/**
 * How far a slip had gone in each frame, where it went farthest: the way of its patch along its direction, so that what
 * it went in all is the flag's size.
 */
export function courseOfPatch(
  { frames, covariance }: LeftOverSeries,
  nodes: readonly (NodeSeries | null)[],
  contrast: Contrast,
  { px, direction: [ux, uy], nodes: members }: NodePatch,
): CoursePoint[] {
  const trace = new Float64Array(frames.length);
  let total = 0;
  for (const i of members) {
    const own = nodes[i];
    if (own === null) continue;
    // By what each node knows along the direction: along lines it knows nothing.
    const [xx, xy, yy] = covariance.subarray(3 * i, 3 * i + 3);
    const d = xx * yy - xy * xy;
    const [a, b] = [(yy * ux - xy * uy) / d, (xx * uy - xy * ux) / d];
    total += a * ux + b * uy;
    for (let r = 0; r < trace.length; r++) trace[r] += a * own.x[r] + b * own.y[r];
  }
  if (!(total > 0)) return [];
  for (let r = 0; r < trace.length; r++) trace[r] /= total;
  const whole = contrast.of(trace);
  if (!(whole > 0)) return [];
  const scale = px / whole;
  const steps = trace.subarray(1).map((value, r) => value - trace[r]);
  const usual = median(steps);
  // Two rows' noise is in each difference.
  const sigma = (1.4826 * median(steps.map((value) => Math.abs(value - usual)))) / Math.SQRT2;
  const begin = beginOf(trace, contrast, whole);
  return frames.map((frame, r) => ({
    frame,
    px: scale * (trace[r] - begin),
    sigma: Math.max(FLOOR, scale * sigma),
  }));
}

/** Where it began: the rows before a step, or the first row as the line has it. */
function beginOf(trace: Float64Array, { family, row }: Contrast, whole: number): number {
  if (family === "slope") return trace.reduce((sum, value) => sum + value, 0) / trace.length - whole / 2;
  const before = trace.subarray(Math.max(0, row - BEFORE), row);
  return before.reduce((sum, value) => sum + value, 0) / before.length;
}
