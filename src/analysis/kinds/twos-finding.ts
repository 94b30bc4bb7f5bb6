import { px } from "../../units/index.ts";
import { likelyCauses } from "../../workshop/seam.ts";
import type { JudgeInput } from "../series.ts";
import type { TwosJump } from "./evidence/twos.ts";
import type { Finding } from "./kind.ts";
import { mmAt } from "./part-finding.ts";
import { capital, mmWords, pxWords, wayWords } from "./words.ts";

/** A part that moved between the two exposures of one pose, with what could have been seen. */
export function twosFinding(
  { run, first, second, largest, sigma, floor, ...test }: TwosJump,
  input: JudgeInput,
): Finding {
  const { part } = run;
  const mm = mmAt(part, largest.px, input);
  const size = `${pxWords(largest.px, sigma)}${mmWords(mm, ((mm ?? 0) * sigma) / largest.px)}`;
  return {
    kind: "knock",
    part: part.id,
    from: second,
    to: second,
    px: px(largest.px),
    mm,
    stops: null,
    carries: [],
    sigma,
    score: test.statistic / test.threshold,
    direction: largest.direction,
    perMinutePx: null,
    joint: null,
    pivot: null,
    region: null,
    message: `${capital(part.name)} jumped ${size} ${wayWords(largest.direction)} between the two exposures of one pose, frames ${first} and ${second}; ${floor.toFixed(2)} px could have been seen.`,
    ...likelyCauses("knock", part.kind, part.build),
  };
}
