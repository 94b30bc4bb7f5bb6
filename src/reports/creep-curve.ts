import type { Flag, Forecast } from "../model/index.ts";

// The law that a forecast is made by, drawn: the report tells the law and what comes of it, not its constants, so that
// they are found again here, by least squares on the flag's own course. For the eye; the forecast's numbers are the report's.

/** A law through a course: px at a time since the drift began. */
export type CreepCurve = (time: number) => number;

type Law = NonNullable<Forecast["law"]>;

/** Time constants that are tried, as shares of the time watched. */
const CONSTANTS = Array.from({ length: 41 }, (_, i) => 0.02 * 1.2 ** i);

const shapes: Readonly<Record<Law, (time: number, constant: number) => number>> = {
  linear: (time) => time,
  logarithmic: (time, constant) => Math.log1p(time / constant),
  exponential: (time, constant) => 1 - Math.exp(-time / constant),
};

/** Weighted least squares of value = a + b * shape; null where there is nothing to tell b by. */
function fitLine(x: readonly number[], y: readonly number[], w: readonly number[]) {
  let [s, sx, sy, sxx, sxy] = [0, 0, 0, 0, 0];
  for (let i = 0; i < x.length; i++) {
    s += w[i]!;
    sx += w[i]! * x[i]!;
    sy += w[i]! * y[i]!;
    sxx += w[i]! * x[i]! ** 2;
    sxy += w[i]! * x[i]! * y[i]!;
  }
  const determinant = s * sxx - sx * sx;
  if (!(determinant > 1e-12 * s * sxx)) return null;
  const b = (s * sxy - sx * sy) / determinant;
  const a = (sy - b * sx) / s;
  const left = x.reduce((sum, value, i) => sum + w[i]! * (y[i]! - a - b * value) ** 2, 0);
  return { a, b, left };
}

/**
 * The law of a flag's forecast through its own course.
 *
 * @param timeOf time of a frame, in any unit: frames, or minutes where the law goes by the clock
 * @returns null without a course, a law, or at least four of its frames
 */
export function creepCurve(flag: Flag, timeOf: (frame: number) => number | null): CreepCurve | null {
  const law = flag.forecast?.law ?? null;
  const start = timeOf(flag.from);
  if (law === null || start === null || flag.course === undefined) return null;
  const points = flag.course.flatMap(({ frame, px, sigma }) => {
    const time = timeOf(frame);
    return time === null || frame < flag.from || frame > flag.to ? [] : [{ time: time - start, px, sigma }];
  });
  if (points.length < 4) return null;
  const y = points.map(({ px }) => px);
  const w = points.map(({ sigma }) => (sigma !== null && sigma > 0 ? 1 / sigma ** 2 : 1));
  const watched = Math.max(...points.map(({ time }) => time));
  if (!(watched > 0)) return null;
  let best: { readonly left: number; readonly curve: CreepCurve } | null = null;
  for (const share of law === "linear" ? [1] : CONSTANTS) {
    const constant = share * watched;
    const shape = (time: number) => shapes[law](Math.max(0, time), constant);
    const line = fitLine(
      points.map(({ time }) => shape(time)),
      y,
      w,
    );
    if (line !== null && (best === null || line.left < best.left))
      best = { left: line.left, curve: (time) => line.a + line.b * shape(time - start) };
  }
  return best?.curve ?? null;
}
