import { JITTER_RATIO } from "./evidence/left-over-jitter.ts";
import type { Kind } from "./kind.ts";
import { isCloth, LEFT_OVER_SOURCE, type Slip, slipFinding, slipWords } from "./left-over-finding.ts";
import type { JudgeInput } from "../series.ts";
import type { Part } from "../../model/index.ts";
import { capital } from "./words.ts";

/** Hair and fur always boil a little: they are told of only where a person set a band. */
const isAsked = (part: Part, { bands }: JudgeInput): boolean =>
  part.kind !== "hair" || part.bandPx !== null || bands["boil"] !== undefined;

/** Cloth that jitters from frame to frame without going anywhere. */
export const boil: Kind = {
  kind: "boil",
  statistic:
    "scatter of the nodes' left over from frame to frame over that of noise, what one frame did taken back by the next",
  source: LEFT_OVER_SOURCE,
  bands: [{ key: "boil", value: 0.3, unit: "px" }],
  threshold: ({ input }) => ((input.leftOvers ?? []).some(({ part }) => isCloth(part.kind)) ? JITTER_RATIO : null),
  find: ({ jitters, input }, bandOf) =>
    jitters
      .filter(({ part }) => isCloth(part.kind) && isAsked(part, input))
      .filter(({ part, px }) => px > bandOf("boil", part))
      .map(({ part, from, to, px, sigma, ratio }) => {
        const slip: Slip = { part, from, to, px, sigma, score: ratio / JITTER_RATIO, direction: null, region: null };
        const message = `${capital(part.name)} boils from frame ${from} to ${to}: it jitters by up to ${slipWords(slip, input)} in most places and frames, and goes nowhere.`;
        return slipFinding("boil", slip, input, message);
      }),
};
