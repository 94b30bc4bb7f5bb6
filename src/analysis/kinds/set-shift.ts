import { FOUND_SCORE } from "../found-parts.ts";
import { px } from "../../units/index.ts";
import type { Kind } from "./kind.ts";
import { besideWords, carriedWords, isBeyondBand, isSet, partFinding, perMinute, sizeWords } from "./part-finding.ts";
import { isSlow, SLOW_STATISTIC, spanWords } from "./slow-drift.ts";
import { isMarked, isStep, STEP_SOURCE, STEP_STATISTIC, stepWords } from "./step-drift.ts";
import { thresholdsFor } from "./threshold-at.ts";
import { whatNext } from "./what-next.ts";
import { capital } from "./words.ts";

/** Something of the set, a prop or a support moved, at once or slowly. */
export const setShift: Kind = {
  kind: "set-shift",
  statistic: `${STEP_STATISTIC}; or ${SLOW_STATISTIC}`,
  source: STEP_SOURCE,
  bands: [{ key: "set-shift", value: 0.3, unit: "px" }],
  threshold: ({ rows, input }) => (rows.held > 1 ? thresholdsFor("held", rows.held, input.live).step : null),
  find: ({ drifts, input }, bandOf) =>
    drifts
      .filter((drift) => isSet(drift) && (isSlow(drift) || (isStep(drift) && !isMarked(drift, input))))
      .filter((drift) => isBeyondBand(drift, "set-shift", bandOf))
      .flatMap((drift) => {
        const how = isSlow(drift)
          ? `crept ${sizeWords(drift, input)}${besideWords(drift)} ${spanWords(drift)}`
          : `shifted ${sizeWords(drift, input)}${besideWords(drift)} ${stepWords(drift, input)}`;
        const message = `${capital(drift.part.name)} ${how}${carriedWords(drift)}.`;
        const perMinutePx = isSlow(drift) ? perMinute(drift, input) : null;
        const finding = {
          ...partFinding("set-shift", drift, input, { message, perMinutePx }),
          ...whatNext(drift, input),
        };
        if (input.outside?.has(drift.part.id) !== true) return finding;
        // Chosen out of many places for its drift, like a part that was found.
        if (finding.score < FOUND_SCORE) return [];
        return { ...finding, part: null, region: drift.hold.outline.map(([x, y]) => [px(x), px(y)] as const) };
      }),
};
