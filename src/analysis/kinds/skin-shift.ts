import type { LeftOverEvent } from "./evidence/left-over-events.ts";
import type { Kind } from "./kind.ts";
import {
  highestThreshold,
  isCloth,
  isLeftOfDrift,
  LEFT_OVER_SOURCE,
  scoreOf,
  slipFinding,
  slipOf,
  slipWords,
} from "./left-over-finding.ts";
import { capital } from "./words.ts";

/** Rows that it must stay. */
const STAYS = 3;

/** A slow shift is told of held skin alone: under what is animated, a turn that the field doesn't quite follow looks the same. */
const isTold = ({ family, part, series, rowsAfter }: LeftOverEvent): boolean =>
  family === "step" ? rowsAfter >= STAYS : series.held && part.kind === "skin";

/** A patch of skin that was displaced over its core, and stays. */
export const skinShift: Kind = {
  kind: "skin-shift",
  statistic:
    "pooled left over of 3 x 3 to 7 x 7 nodes, means of 4 frames on each side of a step, over its standard error",
  source: LEFT_OVER_SOURCE,
  bands: [{ key: "skin-shift", value: 0.3, unit: "px" }],
  threshold: ({ input }) => highestThreshold(input, ({ part }) => !isCloth(part.kind)),
  find: (evidence, bandOf) =>
    evidence.slips
      .filter((event) => !isCloth(event.part.kind) && isTold(event) && scoreOf(event) > 1)
      .filter((event) => event.patch.px > bandOf("skin-shift", event.part) && !isLeftOfDrift(event, evidence))
      .map((event) => {
        const { input } = evidence;
        const slip = slipOf(event, scoreOf(event));
        const name = capital(event.part.name);
        const what = event.part.kind === "skin" ? `${name} shifted` : `${name}: its skin shifted`;
        const when =
          event.family === "step"
            ? `at frame ${event.from} and stayed there`
            : `little by little from frame ${event.from} to ${event.to}`;
        return slipFinding("skin-shift", slip, input, `${what} ${slipWords(slip, input)} over its core ${when}.`);
      }),
};
