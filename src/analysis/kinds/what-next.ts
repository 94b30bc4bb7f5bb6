import type { Flag } from "../../model/index.ts";
import { px } from "../../units/index.ts";
import { easeBackOf } from "../ease-back.ts";
import { forecastOf } from "../forecast.ts";
import type { JudgeInput } from "../series.ts";
import { growthSigma } from "./evidence/drift-trace.ts";
import type { PartDrift } from "./evidence/part-drift.ts";
import { perMinute } from "./part-finding.ts";

// What a flag says beside what happened: how fast by the clock, what comes next, how to take it back.

/** Additions to a part's flag. */
export function whatNext(drift: PartDrift, input: JudgeInput): Partial<Flag> {
  const slow = drift.event.family === "slow";
  const rate = slow ? perMinute(drift, input) : null;
  const grown = drift.largest.px * (1 - drift.event.begun);
  const easeBack = easeBackOf(drift, input);
  return {
    ...(rate === null || !(grown > 0) ? {} : { perMinuteSigma: px((rate * growthSigma(drift)) / grown) }),
    ...(slow ? { forecast: forecastOf(drift, input) } : {}),
    ...(easeBack === null ? {} : { easeBack }),
  };
}
