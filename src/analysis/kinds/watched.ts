import type { FlagKind, Watched } from "../../model/index.ts";
import { px } from "../../units/index.ts";
import { forecastOf } from "../forecast.ts";
import type { JudgeInput } from "../series.ts";
import type { PartDrift } from "./evidence/part-drift.ts";
import type { BandOf, Evidence } from "./kind.ts";
import { isBeyondBand, isSet } from "./part-finding.ts";
import { isSlow, loweredBy } from "./slow-drift.ts";

const kindOf = (drift: PartDrift, input: JudgeInput): FlagKind =>
  isSet(drift) ? "set-shift" : loweredBy(drift, input.down) > 0 ? "sag" : "spring-back";

/**
 * Slow drifts that are real and still within their band, with when they will leave it. What lies outside all outlines has
 * no name that anybody could look after it by.
 */
export function watchedDrifts({ drifts, input }: Evidence, bandOf: BandOf): Watched[] {
  return drifts.flatMap((drift) => {
    const kind = kindOf(drift, input);
    if (input.outside?.has(drift.part.id) === true || !isSlow(drift) || isBeyondBand(drift, kind, bandOf)) return [];
    const band = bandOf(kind, drift.part);
    return [
      {
        part: drift.part.id,
        from: drift.event.from,
        to: drift.event.to,
        px: px(drift.largest.px),
        sigma: px(drift.largest.sigma),
        bandPx: px(band),
        forecast: forecastOf(drift, input, [band]),
      },
    ];
  });
}
