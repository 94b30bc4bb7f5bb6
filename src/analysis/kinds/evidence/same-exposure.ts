import { median } from "../../../measure/statistics/robust.ts";
import { intentAt, type Part, type Warning } from "../../../model/index.ts";
import type { FrameNumber } from "../../../units/index.ts";
import type { FrameRow, JudgeInput } from "../../series.ts";

// One exposure that is there twice. Two exposures of the same still set differ by their noise, always by the same amount;
// a frame that differs from the one before by much less than the shot's other frames do has the same noise.

/**
 * Correlation of the noise from which on two frames are one exposure. Fresh noise has none, give or take 0.05; the
 * stillest pair of a breathing hold went to 0.42, a copy that was saved again at JPEG 85 keeps 0.7.
 */
export const SAME_NOISE = 0.55;
/** Where ordinary frames differ by less, there is no noise to compare, grey levels. */
const LEAST_NOISE = 0.05;
/** Two frames that differ by less are the same to the last bit, whatever the shot's noise. */
const BIT_IDENTICAL = 1e-3;
/** Pairs that must show what the shot's noise is. */
const LEAST_PAIRS = 2;

export interface Repeat {
  readonly frame: FrameNumber;
  readonly previous: FrameNumber;
  /** Correlation of the noise, 0 to 1. */
  readonly correlation: number;
  /** False where the sheet says that everything in the picture holds, or where the whole shot is made so: copies for twos. */
  readonly faulty: boolean;
}

/** What ordinary pairs of the shot differ by: the middle of those that are no repeats themselves. */
function ordinary(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  // On twos made by copying, every other pair is a repeat: what is far below the others doesn't count.
  const typical = sorted[Math.floor(0.7 * (sorted.length - 1))] ?? 0;
  const fresh = sorted.filter((value) => value > typical / 2);
  return fresh.length < LEAST_PAIRS ? 0 : median(fresh);
}

/** True where something may move from one frame to the next: the sheet says so, or says nothing. */
function mayMove(
  parts: readonly Part[],
  cameraHolds: JudgeInput["cameraHolds"],
  previous: FrameNumber,
  frame: FrameNumber,
): boolean {
  if (parts.every((part) => part.intents.length === 0)) return true;
  if (cameraHolds !== undefined && !cameraHolds.some(({ from, to }) => frame > from && frame <= to)) return true;
  return parts.some((part) => {
    const here = intentAt(part, frame);
    if (here === null || here.intent === "moves" || here.intent === "alive") return true;
    return here.intent === "swapped" && here.wears !== intentAt(part, previous)?.wears;
  });
}

/** So many repeats, at nearly every other frame, are a shot on twos whose frames were copied: one habit, no faults. */
const TWOS_LEAST = 4;
const TWOS_SHARE = 0.8;

function isOnTwos(found: readonly Repeat[], frames: number): boolean {
  const alternate = found.every(({ previous }) => found.every(({ frame }) => frame !== previous));
  return found.length >= Math.max(TWOS_LEAST, TWOS_SHARE * Math.floor(frames / 2)) && alternate;
}

/** Frames that have the same noise as the one before. */
export function repeats({ frames, parts, cameraHolds }: JudgeInput): Repeat[] {
  const known = frames.flatMap((row, i) => {
    const { pairNoise } = row;
    return i === 0 || pairNoise === undefined ? [] : [{ row, previous: frames[i - 1], pairNoise }];
  });
  const still = known.filter(({ row, previous }) => isStill(previous, row)).map(({ pairNoise }) => pairNoise);
  const middle = ordinary(still.map((pair) => pair.middle));
  const upper = ordinary(still.map((pair) => pair.upper));
  const found = known.flatMap(({ row, previous, pairNoise }) => {
    const faulty = mayMove(parts, cameraHolds, previous.frame, row.frame);
    const declared = faulty && parts.some((part) => intentAt(part, row.frame)?.intent === "moves");
    const told = middle > LEAST_NOISE && upper > LEAST_NOISE;
    // What moves on the sheet can't be the same to the last bit, even where there is no noise to compare.
    if (!told && !(declared && pairNoise.upper < BIT_IDENTICAL)) return [];
    // A copy that was saved again has noise of its own on top, which the difference would show if nothing were shared.
    const before = previous.pairNoise?.own ?? Number.NaN;
    // The reference and its copies have none at all against it.
    const added = pairNoise.own > before && before > 0.3 * pairNoise.own ? pairNoise.own ** 2 - before ** 2 : 0;
    const correlation = told
      ? 1 - Math.max((pairNoise.middle / middle) ** 2, (pairNoise.upper / upper) ** 2) / (1 + added / middle ** 2)
      : 1 - pairNoise.upper;
    return correlation > SAME_NOISE ? [{ frame: row.frame, previous: previous.frame, correlation, faulty }] : [];
  });
  return isOnTwos(found, frames.length) ? found.map((one) => ({ ...one, faulty: false })) : found;
}

/** Camera motion between two frames above which they differ by more than noise, px. */
const STILL_PX = 0.1;

function isStill({ camera: a }: FrameRow, { camera: b }: FrameRow): boolean {
  return a === null || b === null || Math.hypot(a.dx - b.dx, a.dy - b.dy) < STILL_PX;
}

/** For people to know: frames that are copies and no fault: nothing was meant to move, or the shot is on twos. */
export function copiedFrames(input: JudgeInput): Warning[] {
  const copies = repeats(input).filter(({ faulty }) => !faulty);
  if (copies.length === 0) return [];
  const [first] = copies;
  const detail =
    copies.length === 1
      ? `frame ${first.frame} is the same exposure as frame ${first.previous}`
      : `${copies.length} frames are the same exposure as the one before, frame ${first.frame} the first of them`;
  return [{ code: "repeated-exposure", detail, frame: first.frame }];
}
