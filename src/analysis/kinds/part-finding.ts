import type { FlagKind, Part, PartKind } from "../../model/index.ts";
import { mmOf, px } from "../../units/index.ts";
import { geometrySigns } from "../../workshop/geometry-signs.ts";
import { likelyCauses } from "../../workshop/seam.ts";
import { type JointAnswer, MOST_OBLIQUE_DEGREES, slippedJoint } from "../joint.ts";
import type { JudgeInput } from "../series.ts";
import type { PartDrift } from "./evidence/part-drift.ts";
import type { BandOf, Finding } from "./kind.ts";
import { inSentence, listed, mmWords, pxWords, withArticle } from "./words.ts";

// What the flags of all kinds that a part's drift can have share.

/** Said where the size is told in one direction alone. */
const ALONG_LINES = " That is across the lines of its texture: along them nothing can be told.";

/** Kinds of parts that are no puppet: what moves them is told as a shift of the set. */
export const isSetKind = (kind: PartKind): boolean => kind === "prop" || kind === "set" || kind === "support";

export const isSet = ({ part }: PartDrift): boolean => isSetKind(part.kind);

export const isBeyondBand = (drift: PartDrift, kind: FlagKind, bandOf: BandOf): boolean =>
  drift.largest.px > bandOf(kind, drift.part);

/** Size in words: "1.93 ± 0.02 px (0.483 ± 0.004 mm)". */
export function sizeWords(drift: PartDrift, input: JudgeInput): string {
  const { px: size, sigma } = drift.largest;
  const mm = mmOfDrift(drift, input);
  return `${pxWords(size, sigma)}${mmWords(mm, ((mm ?? 0) * sigma) / size)}`;
}

const mmOfDrift = ({ part, largest }: PartDrift, input: JudgeInput): number | null => mmAt(part, largest.px, input);

/** Px at a part in mm; null where neither part nor shot has a scale. */
export function mmAt(part: Part, size: number, input: JudgeInput): number | null {
  const scale = part.pxPerMm ?? input.pxPerMm;
  return scale === null ? null : mmOf(px(size), scale);
}

/** ". Carried along: left forearm and left hand", or nothing. */
export function carriedWords({ carried }: PartDrift): string {
  const names = [...new Set(carried.map(({ part }) => inSentence(part.name)))];
  return names.length === 0 ? "" : `. Carried along: ${listed(names)}`;
}

/** " beyond what left upper arm carried it", where the carrier moved too. */
export const besideWords = ({ besideCarrier }: PartDrift): string =>
  besideCarrier === null ? "" : ` beyond what ${withArticle(besideCarrier.name)} did`;

/** The joint about which the part turned, from all surfaces whose motion was measured. */
export function jointOf(
  { hold, event, surfaces, carried }: PartDrift,
  { downIntoPicture = 0 }: JudgeInput,
): JointAnswer {
  // Only what sags is turned by gravity; a knock comes from anywhere.
  const tilt = event.family === "slow" ? downIntoPicture : 0;
  const measured = carried
    .filter(({ part, measured: own }) => own && obliqueness(part.intoPictureDegrees, tilt) <= MOST_OBLIQUE_DEGREES)
    .map(({ surface }) => surface);
  const own = surfaces[0] ?? { outline: hold.outline, motion: event.motion };
  return slippedJoint([own, ...measured], hold.joints, obliqueness(hold.part.intoPictureDegrees, tilt));
}

/** Angle between the line of sight and the axis about which gravity turns a limb, degrees, each tilted into the picture. */
function obliqueness(limb: number, gravity: number): number {
  const cosine = (degrees: number) => Math.cos((degrees * Math.PI) / 180);
  return (Math.acos(cosine(limb) * cosine(gravity)) * 180) / Math.PI;
}

/** ", turning about the left shoulder", ", turning about the left shoulder or the left elbow", or nothing. */
export function jointWords({ joint, alternatives }: JointAnswer): string {
  return joint === null
    ? ""
    : `, turning about ${listed(
        [joint, ...alternatives].map(({ name }) => withArticle(name)),
        "or",
      )}`;
}

/** Px a minute by the clock between the drift's first and last frame; null where either time isn't known. */
export function perMinute({ event, largest }: PartDrift, { frames }: JudgeInput): number | null {
  const clockAt = (frame: number) => frames.find((row) => row.frame === frame)?.clock ?? null;
  const [start, end] = [clockAt(event.from), clockAt(event.to)];
  if (start === null || end === null || !(end > start)) return null;
  return (largest.px * (1 - event.begun) * 60) / (end - start);
}

export function partFinding(
  kind: FlagKind,
  drift: PartDrift,
  input: JudgeInput,
  details: { readonly message: string; readonly joint?: JointAnswer; readonly perMinutePx?: number | null },
): Finding {
  const { part, event, largest, carried } = drift;
  const { joint = null } = details;
  const mm = mmOfDrift(drift, input);
  const carries = [...new Set(carried.map((one) => one.part.id))];
  const direction = largest.px > 0 ? largest.direction : null;
  const pivot: Finding["pivot"] =
    joint === null || joint.pivot === null ? null : [px(joint.pivot[0]), px(joint.pivot[1])];
  const signs = geometrySigns({ kind, direction, down: input.down, joint: joint?.joint?.name ?? null, pivot, carries });
  return {
    kind,
    part: part.id,
    from: event.from,
    to: event.to,
    px: px(largest.px),
    mm,
    stops: null,
    carries,
    sigma: largest.sigma,
    score: event.statistic / event.threshold,
    direction,
    perMinutePx: details.perMinutePx === undefined || details.perMinutePx === null ? null : px(details.perMinutePx),
    joint: joint?.joint?.id ?? null,
    pivot,
    region: null,
    message: `${details.message}${largest.acrossLines === true ? ALONG_LINES : ""}`,
    ...likelyCauses(kind, part.kind, part.build, signs),
    ...(drift.besideCarrier === null ? {} : { besideCarrier: drift.besideCarrier.id }),
    course: drift.course.map((point) => ({ frame: point.frame, px: px(point.px), sigma: px(point.sigma) })),
    ...(joint !== null && joint.alternatives.length > 0 ? { alsoJoints: joint.alternatives.map(({ id }) => id) } : {}),
  };
}
