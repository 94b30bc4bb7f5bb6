import type { Family } from "../../measure/statistics/shapes.ts";
import { liveFactors } from "./live-factors.ts";
import { thresholdTable } from "./thresholds.ts";

/** What a series is of: parts, camera, mean light, shape of the light. */
export type SeriesName = keyof typeof thresholdTable.series;

export type Thresholds = Readonly<Record<Family, number>>;

function interpolated(values: readonly number[], rows: number): number {
  const lengths: readonly number[] = thresholdTable.lengths;
  const after = lengths.findIndex((length) => length >= rows);
  if (after === 0) return values[0];
  const upper = after < 0 ? lengths.length - 1 : after;
  const [low, high] = [Math.log(lengths[upper - 1]), Math.log(lengths[upper])];
  const share = (Math.log(rows) - low) / (high - low);
  return values[upper - 1] + share * (values[upper] - values[upper - 1]);
}

/**
 * Thresholds for a series of so many rows: between the lengths that were simulated, and beyond, straight in log length.
 *
 * @param live the series is judged after every frame: many looks would add up to many false alarms
 */
export function thresholdsFor(name: SeriesName, rows: number, live = false): Thresholds {
  const table = thresholdTable.series[name];
  const factor = (family: Family) => (live ? liveFactors[name][family] : 1);
  return {
    slow: factor("slow") * interpolated(table.slow, rows),
    step: factor("step") * interpolated(table.step, rows),
    pop: factor("pop") * interpolated(table.pop, rows),
  };
}
