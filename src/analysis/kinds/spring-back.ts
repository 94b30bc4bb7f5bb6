import type { Kind } from "./kind.ts";
import {
  besideWords,
  carriedWords,
  isBeyondBand,
  isSet,
  jointOf,
  jointWords,
  partFinding,
  perMinute,
  sizeWords,
} from "./part-finding.ts";
import { isSideways, isSlow, loweredBy, SLOW_SOURCE, SLOW_STATISTIC, spanWords } from "./slow-drift.ts";
import { thresholdsFor } from "./threshold-at.ts";
import { capital } from "./words.ts";

/** A held part is pulled slowly back towards its moulded pose: it drifts without lowering its centre of mass. */
export const springBack: Kind = {
  kind: "spring-back",
  statistic: SLOW_STATISTIC,
  source: SLOW_SOURCE,
  bands: [{ key: "spring-back", value: 0.3, unit: "px" }],
  threshold: ({ rows }) => (rows.held > 1 ? thresholdsFor("held", rows.held).slow : null),
  find: ({ drifts, input }, bandOf) =>
    drifts
      .filter((drift) => isSlow(drift) && !isSet(drift) && loweredBy(drift, input.down) <= 0)
      .filter((drift) => isBeyondBand(drift, "spring-back", bandOf))
      .map((drift) => {
        const joint = jointOf(drift);
        const verb = isSideways(drift, input) ? "slid sideways" : "sprang back upwards";
        const untold = joint.joint === null ? `; joint not told: ${joint.reason}` : "";
        const message = `${capital(drift.part.name)} ${verb} ${sizeWords(drift, input)}${besideWords(drift)} ${spanWords(drift)}${jointWords(joint)}${carriedWords(drift)}${untold}.`;
        return partFinding("spring-back", drift, input, { message, joint, perMinutePx: perMinute(drift, input) });
      }),
};
