import type { Break } from "../model/index.ts";
import { mmOf, px } from "../units/index.ts";
import { breaksOf, type ShotBreak } from "./clock.ts";
import { cameraSeries } from "./kinds/evidence/camera-motion.ts";
import { heldSeries, motionOf } from "./kinds/evidence/held-series.ts";
import { historyOf } from "./kinds/evidence/history-of.ts";
import { stepOver } from "./kinds/evidence/over-break.ts";
import { largestDisplacement, type RigidMotion } from "./kinds/evidence/rigid.ts";
import { thresholdsFor } from "./kinds/threshold-at.ts";
import { inSentence, listed, mmWords, pxWords, withArticle } from "./kinds/words.ts";
import type { Hold, JudgeInput } from "./series.ts";

// What moved while nobody worked: overnight, over lunch.

const MINUTE = 60;
const HOUR = 3600;
/** Lengths of breaks by which people name them; common practice, no source. */
const LUNCH = [25 * MINUTE, 100 * MINUTE] as const;
const NIGHT = [5 * HOUR, 30 * HOUR] as const;
/** What is told in the sentence must pass this as well: a thousandth of a pixel is real and nobody's business. */
const TOLD_PX = 0.05;

type Moved = Break["moved"][number];

function lengthWords(seconds: number): string {
  const minutes = Math.round(seconds / MINUTE);
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (seconds < NIGHT[1]) return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${minutes % 60} min`;
  const days = Math.floor(hours / 24);
  return `${days} ${days === 1 ? "day" : "days"} ${hours % 24} h`;
}

/** "Overnight, 14 h 10 min", "Over a lunch-length break of 52 min". */
function breakWords(seconds: number | null): string {
  if (seconds === null) return "Over a break";
  const length = lengthWords(seconds);
  if (seconds >= NIGHT[0] && seconds < NIGHT[1]) return `Overnight, ${length}`;
  return seconds >= LUNCH[0] && seconds <= LUNCH[1]
    ? `Over a lunch-length break of ${length}`
    : `Over a break of ${length}`;
}

function movedOver(hold: Hold, { to }: ShotBreak, input: JudgeInput): Moved | null {
  if (hold.intent !== "holds" && hold.intent !== "found") return null;
  const held = heldSeries(hold, () => null);
  const history = held === null ? null : historyOf("held", held.series, held.axes);
  if (held === null || history === null) return null;
  const frames = held.rows.map((row) => row.frame);
  const step = stepOver(held.series, frames, to, history);
  if (step === null) return null;
  const motion = motionOf(step.value, step.covariance, hold.centroid);
  const { px: size, sigma, direction } = largestDisplacement([{ outline: hold.outline, motion }]);
  const scale = hold.part.pxPerMm ?? input.pxPerMm;
  return {
    part: hold.part.id,
    px: px(size),
    sigma: px(sigma),
    mm: scale === null ? null : mmOf(px(size), scale),
    direction: [direction[0], direction[1]],
    real: step.statistic > thresholdsFor("held", frames.length, input.live).step,
  };
}

/** The shift at the frame's centre. */
function cameraOver({ to }: ShotBreak, input: JudgeInput): Moved | null {
  const known = cameraSeries(input);
  if (known === null) return null;
  const axis = Float64Array.from(known.frames, (frame) => frame - known.frames[0]);
  const history = historyOf("camera", known.series, [axis]);
  const step = history === null ? null : stepOver(known.series, known.frames, to, history);
  if (step === null) return null;
  const centre = [input.width / 2, input.height / 2] as const;
  const covariance = Float64Array.from({ length: 9 }, (_, k) => step.covariance[Math.floor(k / 3) * 4 + (k % 3)]);
  const motion: RigidMotion = { dx: step.value[0], dy: step.value[1], turn: step.value[2], covariance, centre };
  const { px: size, sigma, direction } = largestDisplacement([{ outline: [centre], motion }]);
  return {
    part: null,
    px: px(size),
    sigma: px(sigma),
    mm: null,
    direction: [direction[0], direction[1]],
    real: step.statistic > thresholdsFor("camera", known.frames.length, input.live).step,
  };
}

function sentence(one: ShotBreak, moved: readonly Moved[], nameOf: (part: string) => string): string {
  const when = `${breakWords(one.seconds)}, between frames ${one.from} and ${one.to}:`;
  if (moved.length === 0) return `${when} nothing was held across it, so nothing can be told.`;
  const told = moved.filter(({ real, px: size }) => real && size > TOLD_PX);
  if (told.length === 0) {
    const least = Math.max(TOLD_PX, ...moved.map(({ sigma }) => 3 * sigma));
    return `${when} nothing that was held moved by more than ${least.toFixed(2)} px.`;
  }
  const names = told
    .toSorted((a, b) => b.px - a.px)
    .map(({ part, px: size, sigma, mm }) => {
      const who = part === null ? "the camera" : withArticle(nameOf(part));
      return `${who} moved ${pxWords(size, sigma)}${mmWords(mm, ((mm ?? 0) * sigma) / size)}`;
    });
  const rest = moved.filter((one) => !told.includes(one)).map(({ part }) => part);
  const still =
    rest.length === 0 || rest.length > 4
      ? ""
      : `; ${listed(rest.map((part) => (part === null ? "the camera" : inSentence(nameOf(part)))))} did not`;
  return `${when} ${listed(names)}${still}.`;
}

/** Every break of the shot, and what each held part and the camera did over it beside their own trends. */
export function overBreaks(input: JudgeInput): Break[] {
  const names = new Map(input.holds.map(({ part }) => [part.id, part.name] as const));
  return breaksOf(input).map((one) => {
    const parts = input.holds
      .filter(({ anchor, rows }) => anchor <= one.from && (rows.at(-1)?.frame ?? anchor) >= one.to)
      .flatMap((hold) => movedOver(hold, one, input) ?? []);
    const camera = input.cameraHolds === undefined ? cameraOver(one, input) : null;
    const moved = camera === null ? parts : [camera, ...parts];
    return {
      from: one.from,
      to: one.to,
      minutes: one.seconds === null ? null : one.seconds / MINUTE,
      moved,
      message: sentence(one, moved, (part) => names.get(part) ?? part),
    };
  });
}
