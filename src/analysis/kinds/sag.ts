import type { Kind } from "./kind.ts";
import { isBeyondBand, isSet } from "./part-finding.ts";
import { isSlow, loweredBy, SLOW_SOURCE, SLOW_STATISTIC, slowFinding } from "./slow-drift.ts";
import { thresholdsFor } from "./threshold-at.ts";

/** Slow droop of a held part: it lowers its centre of mass, or that of what it carries. */
export const sag: Kind = {
  kind: "sag",
  statistic: SLOW_STATISTIC,
  source: SLOW_SOURCE,
  bands: [{ key: "sag", value: 0.3, unit: "px" }],
  threshold: ({ rows, input }) => (rows.held > 1 ? thresholdsFor("held", rows.held, input.live).slow : null),
  find: ({ drifts, input }, bandOf) =>
    drifts
      .filter((drift) => isSlow(drift) && !isSet(drift) && loweredBy(drift, input.down) > 0)
      .filter((drift) => isBeyondBand(drift, "sag", bandOf))
      .map((drift) => slowFinding("sag", "sagged", drift, input)),
};
