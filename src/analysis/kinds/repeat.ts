import type { FrameNumber } from "../../units/index.ts";
import { likelyCauses } from "../../workshop/seam.ts";
import { type Repeat, repeats, SAME_NOISE } from "./evidence/same-exposure.ts";
import type { Finding, Kind } from "./kind.ts";

/** The very same exposure twice where something was meant to move. */
export const repeat: Kind = {
  kind: "repeat",
  statistic:
    "correlation of the noise of two frames that follow each other: 1 less their difference's variance over that of the shot's ordinary pairs, gain and offset of the light taken out",
  source: "two readings of one sensor are independent (EMVA 1288); threshold halfway between none and all",
  bands: [],
  threshold: ({ input }) => (input.frames.some((row) => row.pairNoise !== undefined) ? SAME_NOISE : null),
  find: ({ input }) => runs(repeats(input).filter(({ faulty }) => faulty)).map(repeatFinding),
};

/** Repeats in frames that follow each other are one finding. */
function runs(found: readonly Repeat[]): Repeat[][] {
  const out: Repeat[][] = [];
  for (const one of found) {
    const run = out.at(-1);
    if (run !== undefined && run.at(-1)?.frame === one.previous) run.push(one);
    else out.push([one]);
  }
  return out;
}

const framesWords = (from: FrameNumber, to: FrameNumber): string =>
  from === to ? `Frame ${from} is` : `Frames ${from} to ${to} are`;

function repeatFinding(run: readonly Repeat[]): Finding {
  const [first, last] = [run[0], run[run.length - 1]];
  const correlation = Math.min(...run.map((one) => one.correlation));
  const share = Math.min(99, Math.floor(100 * correlation));
  const sameTo = correlation > 0.999 ? "to the last bit of its noise" : `${share} % of its noise is the same`;
  return {
    kind: "repeat",
    part: null,
    from: first.frame,
    to: last.frame,
    px: null,
    mm: null,
    stops: null,
    carries: [],
    sigma: null,
    score: correlation / SAME_NOISE,
    direction: null,
    perMinutePx: null,
    joint: null,
    pivot: null,
    region: null,
    message: `${framesWords(first.frame, last.frame)} the same exposure as frame ${first.previous}: ${sameTo}.`,
    ...likelyCauses("repeat", null, null),
  };
}
