import { captureTimes, type Flag, type Report } from "../../model/index.ts";
import type { Uncertain } from "../faults.ts";

export type MeasuredCreep =
  | { readonly degreesPerHour: Uncertain; readonly degrees: number; readonly hours: number }
  | { readonly why: string };

/**
 * How fast a part turned while it drifted, degrees an hour by the clock, 1 sigma: slope of its turn by least squares over
 * the flag's frames. Creep below break-away: it says how fast the joint gave under the load that it had, and nothing of
 * the load that it could bear.
 */
export function creepOfFlag(flag: Flag, report: Report): MeasuredCreep {
  const seconds = clockOf(report);
  const rows = report.tracks.filter(
    ({ part, frame }) => part === flag.part && flag.from - 1 <= frame && frame <= flag.to,
  );
  const points = rows.flatMap(({ frame, turn }) => {
    const clock = seconds.get(frame);
    return turn === null || clock === undefined ? [] : [[clock / 3600, (turn * 180) / Math.PI] as const];
  });
  if (rows.every(({ turn }) => turn === null)) return { why: "The turn of this part was not measured." };
  if (points.length < 4) return { why: "The frames have no capture times, so a speed by the clock can't be told." };
  const count = points.length;
  const meanX = points.reduce((sum, [x]) => sum + x, 0) / count;
  const meanY = points.reduce((sum, [, y]) => sum + y, 0) / count;
  const spread = points.reduce((sum, [x]) => sum + (x - meanX) ** 2, 0);
  if (!(spread > 0)) return { why: "The frames were all taken at the same time by their clock." };
  const slope = points.reduce((sum, [x, y]) => sum + (x - meanX) * (y - meanY), 0) / spread;
  const residual = points.reduce((sum, [x, y]) => sum + (y - meanY - slope * (x - meanX)) ** 2, 0) / (count - 2);
  const hours = points[count - 1][0] - points[0][0];
  return {
    degreesPerHour: { value: Math.abs(slope), sigma: Math.sqrt(residual / spread) },
    degrees: Math.abs(points[count - 1][1] - points[0][1]),
    hours,
  };
}

/** Seconds from the shot's first frame that has a time, by frame. */
const clockOf = (report: Report): ReadonlyMap<number, number> =>
  new Map(
    captureTimes(report.frames.map(({ frame, time }) => ({ frame, exifTime: time, modified: null }))).times.flatMap(
      ({ frame, clock }) => (clock === null ? [] : [[frame, clock] as const]),
    ),
  );
