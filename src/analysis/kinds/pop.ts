import type { Kind } from "./kind.ts";
import { besideWords, carriedWords, isBeyondBand, partFinding, sizeWords } from "./part-finding.ts";
import { thresholdsFor } from "./threshold-at.ts";
import { capital } from "./words.ts";

/** One frame out, then back. */
export const pop: Kind = {
  kind: "pop",
  statistic: "leave-one-out residual of every frame beside all that else happened, Hotelling's T over dx, dy and turn",
  source: "Cook & Weisberg 1982, Hotelling 1931; thresholds by null simulation",
  bands: [{ key: "pop", value: 0.3, unit: "px" }],
  threshold: ({ rows, input }) => (rows.held > 1 ? thresholdsFor("held", rows.held, input.live).pop : null),
  find: ({ drifts, input }, bandOf) =>
    drifts
      // What passes by outside all outlines is out for a frame too.
      .filter(({ event, part }) => event.family === "pop" && input.outside?.has(part.id) !== true)
      .filter((drift) => isBeyondBand(drift, "pop", bandOf))
      .map((drift) => {
        const message = `${capital(drift.part.name)} was ${sizeWords(drift, input)} out${besideWords(drift)} at frame ${drift.event.from} alone${carriedWords(drift)}.`;
        return partFinding("pop", drift, input, { message });
      }),
};
