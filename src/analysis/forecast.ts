import { type CreepFit, crossingOf, fitCreep } from "../measure/statistics/creep.ts";
import { senSlope } from "../measure/statistics/sen-slope.ts";
import type { Forecast } from "../model/index.ts";
import { px } from "../units/index.ts";
import { paceOf } from "./clock.ts";
import { type DriftTrace, driftTrace } from "./kinds/evidence/drift-trace.ts";
import type { PartDrift } from "./kinds/evidence/part-drift.ts";
import type { JudgeInput } from "./series.ts";

// What comes next of a slow drift if nothing is done: when it will pass the next sizes that matter.

/** Sizes at which people decide again, px; and so on, where a drift is larger already. */
const SIZES = [0.3, 0.5, 1, 2, 3, 5, 10, 20, 50, 100];
/** How many of them are told. */
const TOLD = 2;
/** Nothing is said about more than this many times the time over which the drift was watched. */
const AHEAD = 2;
const LEAST_FRAMES = 6;
/** Share of the newest frames, and at least so many, whose own trend must still go the drift's way. */
const NEWEST = 1 / 3;
const NEWEST_LEAST = 6;
/** Normal deviate of Sen's interval for that: one-sided 95 %. */
const GOES_ON = 1.644853626951473;

const none = (reason: string, more: Partial<Forecast> = {}): Forecast => ({
  law: null,
  by: null,
  crossings: [],
  rest: null,
  reason,
  message: `What comes next can't be told: ${reason}.`,
  ...more,
});

interface Chosen {
  readonly by: "clock" | "frames";
  readonly fits: readonly CreepFit[];
  readonly times: ArrayLike<number>;
}

/** The axis on which the drift runs, by the evidence of the best law on each. */
function chosenOf({ series }: DriftTrace): Chosen | null {
  const all = series.map((one) => ({ by: one.by, fits: fitCreep(one.series), times: one.series.times }));
  const known = all.filter(({ fits }) => fits.length > 0);
  return known.length === 0 ? null : known.reduce((a, b) => (b.fits[0].bic < a.fits[0].bic ? b : a));
}

/** Whether the newest frames by themselves still go the way of the drift: Sen's slope with its interval. */
function goesOn({ series }: DriftTrace): "on" | "unsure" | "not" {
  const { times, values } = series[0].series;
  const n = Math.max(NEWEST_LEAST, Math.ceil(NEWEST * values.length));
  const from = Math.max(0, values.length - n);
  const newest = (of: ArrayLike<number>) => Array.from(of).slice(from);
  const { low, slope } = senSlope(newest(times), newest(values), GOES_ON);
  if (low > 0) return "on";
  return slope > 0 ? "unsure" : "not";
}

/** "0.50 px at frame 31 (28 to 36)" */
function crossingWords({ px: size, frame, frameFrom, frameTo, minutes }: Forecast["crossings"][number]): string {
  const whole = (value: number) => `${Math.ceil(value)}`;
  const when = frame === null ? "perhaps" : `at about frame ${whole(frame)}`;
  const ends =
    frameFrom === null
      ? ""
      : frameTo === null
        ? ` (not before ${whole(frameFrom)}, perhaps never)`
        : ` (${whole(frameFrom)} to ${whole(frameTo)})`;
  const clock = minutes === null ? "" : `, in ${Math.max(1, Math.round(minutes))} min of shooting`;
  return `${size} px ${when}${ends}${clock}`;
}

/**
 * @param limits sizes that matter besides the usual ones, px: the part's band
 */
export function forecastOf(drift: PartDrift, input: JudgeInput, limits: readonly number[] = []): Forecast {
  const trace = driftTrace(drift);
  if (trace === null) return none("what it carries moved otherwise than the part itself");
  const frames = trace.frames.length;
  const chosen = chosenOf(trace);
  if (frames < LEAST_FRAMES || chosen === null)
    return none(`it takes ${LEAST_FRAMES} frames of drift, and there are ${frames}`);
  const { by, fits, times } = chosen;
  const [best] = fits;
  const rest = best.rest === null ? null : { px: px(best.rest.value), sigma: px(best.rest.sigma) };
  const last = times[times.length - 1];
  const horizon = last + AHEAD * (last - Math.max(times[0], best.onset));
  const size = drift.largest.px;
  const state = goesOn(trace);
  if (state === "not") return none("the newest frames show that it has come to rest", { by, rest });
  if (state === "unsure") return none("the newest frames can't show yet whether it goes on", { by, rest });
  const pace = paceOf(input);
  const lastFrame = trace.frames[frames - 1];
  const framesAhead = (time: number | null) =>
    time === null ? null : by === "frames" ? time - last : pace === null ? null : (time - last) / pace;
  const minutesAhead = (time: number | null) =>
    time === null ? null : by === "clock" ? (time - last) / 60 : pace === null ? null : ((time - last) * pace) / 60;
  const frameOf = (time: number | null) => {
    const ahead = framesAhead(time);
    return ahead === null ? null : lastFrame + ahead;
  };
  const ahead = [...new Set([...limits, ...SIZES])]
    .filter((limit) => limit > size)
    .toSorted((a, b) => a - b)
    .slice(0, TOLD);
  const crossings = ahead.flatMap((limit) => {
    const { at, low, high } = crossingOf(fits, limit, last, horizon);
    if (at === null && low === null) return [];
    return [
      {
        px: px(limit),
        frame: frameOf(at),
        frameFrom: frameOf(low),
        frameTo: frameOf(high),
        minutes: minutesAhead(at),
        minutesFrom: minutesAhead(low),
        minutesTo: minutesAhead(high),
      },
    ];
  });
  if (crossings.length === 0) {
    const settles = rest !== null && rest.px < ahead[0] ? `: it comes to rest at about ${rest.px.toFixed(2)} px` : "";
    return none(`${ahead[0]} px is farther ahead than ${frames} frames can tell${settles}`, {
      law: best.law,
      by,
      rest,
    });
  }
  const message = `If it goes on it passes ${crossings.map(crossingWords).join(", and ")}.`;
  return { law: best.law, by, crossings, rest, reason: "", message };
}
