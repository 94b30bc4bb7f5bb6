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

/** Slow droop of a held part: it lowers its centre of mass, or that of what it carries. */
export const sag: Kind = {
  kind: "sag",
  statistic: SLOW_STATISTIC,
  source: SLOW_SOURCE,
  bands: [{ key: "sag", value: 0.3, unit: "px" }],
  threshold: ({ rows }) => (rows.held > 1 ? thresholdsFor("held", rows.held).slow : null),
  find: ({ drifts, input }, bandOf) =>
    drifts
      .filter((drift) => isSlow(drift) && !isSet(drift) && loweredBy(drift, input.down) > 0)
      .filter((drift) => isBeyondBand(drift, "sag", bandOf))
      .map((drift) => {
        const joint = jointOf(drift);
        const verb = isSideways(drift, input) ? "slid sideways" : "sagged";
        const untold = joint.joint === null ? `; joint not told: ${joint.reason}` : "";
        const message = `${capital(drift.part.name)} ${verb} ${sizeWords(drift, input)}${besideWords(drift)} ${spanWords(drift)}${jointWords(joint)}${carriedWords(drift)}${untold}.`;
        return partFinding("sag", drift, input, { message, joint, perMinutePx: perMinute(drift, input) });
      }),
};
