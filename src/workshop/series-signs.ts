import type { FlagKind } from "../model/index.ts";
import type { Signs } from "./signs.ts";

/** A drift along its own direction, px, in the order of frames; seconds where there are times. */
export type Series = readonly {
  readonly frame: number;
  readonly clock: number | null;
  readonly value: number;
  /** 1 sigma. */
  readonly sigma: number;
}[];

/** Fewer rows than this show no law. */
const ENOUGH = 8;

/** A step counts as a jump where it is this many times the even step, and this many sigmas more. */
const JUMP = 3;
const SURE = 4;

const median = (values: readonly number[]): number => {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)];
};

/**
 * Time of each row: the clock where all rows have one, else the frame number. A break longer than five usual gaps is
 * left out of the steps (much may happen in it), not of the halves.
 */
const timesOf = (series: Series): readonly number[] =>
  series.map(({ clock, frame }) => (series.every((row) => row.clock !== null) ? (clock ?? 0) : frame));

function stepSigns(series: Series, times: readonly number[]): Signs {
  const gaps = times.slice(1).map((time, i) => time - times[i]);
  const usual = median(gaps);
  const steps = series
    .slice(1)
    .flatMap((row, i) =>
      gaps[i] > 5 * usual
        ? []
        : [{ step: row.value - series[i].value, sigma: Math.hypot(row.sigma, series[i].sigma), frame: row.frame }],
    );
  if (steps.length < ENOUGH - 1) return {};
  const even = median(steps.map(({ step }) => step));
  const jumps = steps.filter(({ step, sigma }) => Math.abs(step) > JUMP * Math.abs(even) + SURE * sigma);
  // One jump in an even creep is a knock on top; several are a grip that lets go again and again.
  if (jumps.length >= 2)
    return { "stick-slip": `it jumped at frames ${jumps.map(({ frame }) => frame).join(", ")} and rested between` };
  const noise = median(steps.map(({ sigma }) => sigma));
  return jumps.length === 0 && Math.abs(series[series.length - 1].value - series[0].value) > 3 * SURE * noise
    ? { smooth: "no frame's step stands out" }
    : {};
}

function paceSigns(series: Series, times: readonly number[]): Signs {
  const [start, end] = [times[0], times[times.length - 1]];
  const half = (start + end) / 2;
  const middle = times.findIndex((time) => time >= half);
  if (middle < 3 || middle > series.length - 3) return {};
  const rate = (from: number, to: number) => ({
    value: (series[to].value - series[from].value) / (times[to] - times[from]),
    sigma: Math.hypot(series[to].sigma, series[from].sigma) / (times[to] - times[from]),
  });
  const [first, second] = [rate(0, middle), rate(middle, series.length - 1)];
  const sigma = Math.hypot(first.sigma, second.sigma);
  if (!(Math.abs(first.value) > 5 * first.sigma)) return {};
  const share = second.value / first.value;
  if (share < 0.6 && Math.abs(first.value - second.value) > 3 * sigma) {
    return {
      slowing: `in its second half it went at ${Math.round(100 * Math.max(0, share))} % of the speed of its first`,
    };
  }
  return share > 0.75 && sigma < 0.15 * Math.abs(first.value)
    ? { steady: "it went as fast in its second half as in its first" }
    : {};
}

/** What the course of a drift tells: jumps or none, slowing or not. Only for what goes on for a while. */
export function seriesSigns(kind: FlagKind, series: Series): Signs {
  if (kind === "knock" || kind === "pop" || kind === "stray" || kind === "repeat" || series.length < ENOUGH) return {};
  const times = timesOf(series);
  return { ...stepSigns(series, times), ...paceSigns(series, times) };
}
