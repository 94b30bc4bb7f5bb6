import type { Kind } from "./kind.ts";
import {
  besideWords,
  carriedWords,
  isBeyondBand,
  isSet,
  jointOf,
  jointWords,
  partFinding,
  sizeWords,
} from "./part-finding.ts";
import { isMarked, isStep, STEP_SOURCE, STEP_STATISTIC, stepWords } from "./step-drift.ts";
import { twosJumps } from "./evidence/twos.ts";
import { twosFinding } from "./twos-finding.ts";
import { thresholdsFor } from "./threshold-at.ts";
import { whatNext } from "./what-next.ts";
import { capital } from "./words.ts";

/** A held part jumps and stays. The three frames after a move are its own settling, and what a person put right is no knock. */
export const knock: Kind = {
  kind: "knock",
  statistic: STEP_STATISTIC,
  source: STEP_SOURCE,
  bands: [{ key: "knock", value: 0.3, unit: "px" }],
  threshold: ({ rows, input }) => (rows.held > 1 ? thresholdsFor("held", rows.held, input.live).step : null),
  find: ({ drifts, input, camera }, bandOf) => [
    ...drifts
      .filter((drift) => isStep(drift) && !isSet(drift) && !isMarked(drift, input))
      .filter((drift) => isBeyondBand(drift, "knock", bandOf))
      .map((drift) => {
        const joint = jointOf(drift, input);
        const message = `${capital(drift.part.name)} jumped ${sizeWords(drift, input)}${besideWords(drift)} ${stepWords(drift, input)}${jointWords(joint)}${carriedWords(drift)}.`;
        return { ...partFinding("knock", drift, input, { message, joint }), ...whatNext(drift, input) };
      }),
    ...twosJumps(input, camera)
      .filter(({ run, largest }) => largest.px > bandOf("knock", run.part))
      .map((jump) => twosFinding(jump, input)),
  ],
};
