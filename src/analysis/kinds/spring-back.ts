import type { Kind } from "./kind.ts";
import { isBeyondBand, isSet } from "./part-finding.ts";
import { isSlow, loweredBy, SLOW_SOURCE, SLOW_STATISTIC, slowFinding } from "./slow-drift.ts";
import { thresholdsFor } from "./threshold-at.ts";

/** A held part is pulled slowly back towards its moulded pose: it drifts without lowering its centre of mass. */
export const springBack: Kind = {
  kind: "spring-back",
  statistic: SLOW_STATISTIC,
  source: SLOW_SOURCE,
  bands: [{ key: "spring-back", value: 0.3, unit: "px" }],
  threshold: ({ rows, input }) => (rows.held > 1 ? thresholdsFor("held", rows.held, input.live).slow : null),
  find: ({ drifts, input }, bandOf) =>
    drifts
      .filter((drift) => isSlow(drift) && !isSet(drift) && loweredBy(drift, input.down) <= 0)
      .filter((drift) => isBeyondBand(drift, "spring-back", bandOf))
      .map((drift) => slowFinding("spring-back", "sprang back upwards", drift, input)),
};
