import type { FlagKind, Part, PartKind } from "../../model/index.ts";
import { mmOf, px } from "../../units/index.ts";
import { likelyCauses } from "../../workshop/seam.ts";
import type { JudgeInput, LeftOverSeries } from "../series.ts";
import { type LeftOverEvent, slopeZ, stepZ } from "./evidence/left-over-events.ts";
import type { Evidence, Finding } from "./kind.ts";
import { mmWords, pxWords, withArticle } from "./words.ts";

// What the flags of surfaces share.

export const LEFT_OVER_SOURCE =
  "subset digital image correlation (Pan et al. 2013) about a robust smooth field (Huber 1981); thresholds by null simulation";

/** Cloth and hair creep and boil; skin shifts over its core. */
export const isCloth = (kind: PartKind): boolean => kind === "costume" || kind === "hair";

export interface Slip {
  readonly part: Part;
  readonly from: LeftOverEvent["from"];
  readonly to: LeftOverEvent["to"];
  readonly px: number;
  readonly sigma: number;
  readonly score: number;
  readonly direction: readonly [number, number] | null;
  readonly region: readonly (readonly [number, number])[] | null;
  /** How far it had gone in each frame; none of what goes nowhere. */
  readonly course?: LeftOverEvent["course"];
}

const mmOfSlip = ({ part, px: size }: Slip, input: JudgeInput): number | null => {
  const scale = part.pxPerMm ?? input.pxPerMm;
  return scale === null ? null : mmOf(px(size), scale);
};

/** Size in words: "0.72 ± 0.03 px (0.18 ± 0.01 mm)". */
export function slipWords(slip: Slip, input: JudgeInput): string {
  const mm = mmOfSlip(slip, input);
  return `${pxWords(slip.px, slip.sigma)}${mmWords(mm, ((mm ?? 0) * slip.sigma) / slip.px)}`;
}

/** " over the torso", or nothing where the carrier isn't named. */
export function overWords(part: Part, input: JudgeInput): string {
  const carrier = input.parts.find(({ id }) => id === part.carrier);
  return carrier === undefined ? "" : ` over ${withArticle(carrier.name)}`;
}

/** Beside what the part or its carriers did by themselves, a slip must be more than this share of it: nothing turns quite in the picture's plane. */
const BESIDE = 0.1;

/** What hangs on a joint as one stiff piece: at the frame in which it jumped as a whole, its surface jumped with it. */
const isStiff = (kind: PartKind): boolean => kind === "head" || kind === "face" || kind === "body";

/** Whether a slip is what is left of a drift of its part, of a carrier or of the camera in the same frames. */
export function isLeftOfDrift(
  { part, family, from, to, patch }: LeftOverEvent,
  { drifts, camera, input }: Evidence,
): boolean {
  const chain = new Set([part.id]);
  for (let next = part.carrier; next !== null && !chain.has(next); ) {
    chain.add(next);
    next = input.parts.find(({ id }) => id === next)?.carrier ?? null;
  }
  const meets = (event: { readonly from: number; readonly to: number }): boolean =>
    event.from <= to && from <= event.to;
  return (
    drifts.some(({ part: moved, event, largest }) => {
      const isItsJump =
        moved.id === part.id &&
        isStiff(part.kind) &&
        family === "step" &&
        event.family === "step" &&
        event.from === from;
      return chain.has(moved.id) && meets(event) && patch.px < (isItsJump ? 1 : BESIDE) * largest.px;
    }) ||
    camera.some((event) => {
      // What stands nearer to the lens, and a gleam, go another way when the camera steps: less far than the picture.
      const atOnce = family === "step" && event.family === "step" && event.from === from;
      const whole = Math.hypot(...event.at([input.width / 2, input.height / 2]));
      return meets(event) && patch.px < (atOnce ? 1 : BESIDE) * whole;
    })
  );
}

/** Standard errors over what they must exceed. */
export const scoreOf = ({ z, family, series }: LeftOverEvent): number =>
  z / (family === "step" ? stepZ(series) : slopeZ(series));

/** What a slip had to exceed on the surfaces that are asked for; null where there were none. */
export function highestThreshold(
  { leftOvers = [] }: JudgeInput,
  isAsked: (series: LeftOverSeries) => boolean,
): number | null {
  const asked = leftOvers.filter(isAsked);
  return asked.length === 0 ? null : Math.max(...asked.map(slopeZ));
}

export const slipOf = (event: LeftOverEvent, score: number): Slip => ({
  part: event.part,
  from: event.from,
  to: event.to,
  px: event.patch.px,
  sigma: event.patch.sigma,
  score,
  direction: event.patch.direction,
  region: event.patch.region,
  course: event.course,
});

export function slipFinding(kind: FlagKind, slip: Slip, input: JudgeInput, message: string): Finding {
  const { part } = slip;
  return {
    kind,
    part: part.id,
    from: slip.from,
    to: slip.to,
    px: px(slip.px),
    mm: mmOfSlip(slip, input),
    stops: null,
    carries: [],
    sigma: slip.sigma,
    score: slip.score,
    direction: slip.direction === null ? null : [slip.direction[0], slip.direction[1]],
    perMinutePx: null,
    joint: null,
    pivot: null,
    region: slip.region === null ? null : slip.region.map(([x, y]) => [px(x), px(y)]),
    message,
    ...(slip.course === undefined || slip.course.length === 0
      ? {}
      : { course: slip.course.map((point) => ({ frame: point.frame, px: px(point.px), sigma: px(point.sigma) })) }),
    ...likelyCauses(kind, part.kind, part.build),
  };
}
