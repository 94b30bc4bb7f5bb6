import type { LeftOverEvent } from "./evidence/left-over-events.ts";
import type { Kind } from "./kind.ts";
import {
  highestThreshold,
  isCloth,
  isLeftOfDrift,
  LEFT_OVER_SOURCE,
  overWords,
  scoreOf,
  slipFinding,
  slipOf,
  slipWords,
} from "./left-over-finding.ts";
import { capital } from "./words.ts";

/** A step that only the last frame shows may be one frame out: it must be so many times the threshold. */
const LAST_FRAME = 1.5;

/**
 * A slow creep is not told over what turns out of the picture: what the field leaves of the turn looks the same. Nor where
 * the last frame alone shows it.
 */
const isTold = (event: LeftOverEvent): boolean =>
  event.family === "step"
    ? scoreOf(event) > (event.rowsAfter === 1 ? LAST_FRAME : 1)
    : scoreOf(event) > 1 && event.series.away !== true && event.from < event.to;

/** Cloth or hair that creeps over its carrier, in one pair of frames or little by little. */
export const crawl: Kind = {
  kind: "crawl",
  statistic:
    "pooled left over of 3 x 3 to 7 x 7 nodes beyond the carrier's smooth field: step at a frame, or net way of its line, over its standard error",
  source: LEFT_OVER_SOURCE,
  bands: [{ key: "crawl", value: 0.3, unit: "px" }],
  threshold: ({ input }) => highestThreshold(input, ({ part }) => isCloth(part.kind)),
  find: (evidence, bandOf) =>
    evidence.slips
      .filter((event) => isCloth(event.part.kind) && isTold(event))
      .filter((event) => event.patch.px > bandOf("crawl", event.part) && !isLeftOfDrift(event, evidence))
      .map((event) => {
        const { input } = evidence;
        const slip = slipOf(event, scoreOf(event));
        const when = event.family === "step" ? `at frame ${event.from}` : `from frame ${event.from} to ${event.to}`;
        const message = `${capital(event.part.name)} crept ${slipWords(slip, input)}${overWords(event.part, input)} ${when}, where it crept most.`;
        return slipFinding("crawl", slip, input, message);
      }),
};
