import type { Correction, Mark, Part } from "../model/index.ts";
import { px, radians } from "../units/index.ts";
import { type Displacement, largestDisplacement, type RigidMotion } from "./kinds/evidence/rigid.ts";
import type { PartCorrection } from "./kinds/evidence/part-drift.ts";
import { motionOf } from "./kinds/evidence/held-series.ts";
import { mmAt } from "./kinds/part-finding.ts";
import { capital, mmWords, pxWords, wayWords } from "./kinds/words.ts";
import type { Hold, JudgeInput, Reset } from "./series.ts";

// What people did on purpose, as they marked it: logged with its size, and no flag.

/** Below this many sigmas a correction is told as one that can't be seen. */
const SEEN_SIGMAS = 3;

/** Corrections and resets of all parts in the order of frames, then of parts. */
export function correctionLog(input: JudgeInput, corrections: readonly PartCorrection[]): Correction[] {
  const told = corrections.map(({ hold, correction, largest }) => {
    const { mark, event } = correction;
    return entry(hold.part, { ...mark, frame: event.from, against: null }, event.motion, largest, input);
  });
  const resets = input.holds.flatMap((hold) => (hold.reset === undefined ? [] : [resetEntry(hold, hold.reset, input)]));
  const order = new Map(input.parts.map((part, i) => [part.id, i]));
  return [...told, ...resets].sort(
    (a, b) => a.frame - b.frame || (order.get(a.part) ?? order.size) - (order.get(b.part) ?? order.size),
  );
}

type Place = Pick<Correction, "frame" | "against"> & { readonly kind: string };

function resetEntry(hold: Hold, reset: Reset, input: JudgeInput): Correction {
  const { frame, against, reason } = reset;
  const place = { frame, against, kind: "reset" };
  if (!Number.isFinite(reset.dx)) {
    const nothing = { dx: null, dy: null, turn: null, sigmaDx: null, sigmaDy: null, px: null, sigma: null, mm: null };
    const message = `${capital(hold.part.name)} was re-set before frame ${frame}; how far from frame ${against} can't be told: ${reason}.`;
    return { part: hold.part.id, frame, kind: "reset", against, ...nothing, message };
  }
  const [xx, xy, xt, yy, yt, tt] = reset.covariance;
  const full = Float64Array.of(xx, xy, xt, xy, yy, yt, xt, yt, tt);
  const motion = motionOf(Float64Array.of(reset.dx, reset.dy, reset.turn), full, hold.centroid);
  return entry(hold.part, place, motion, largestDisplacement([{ outline: hold.outline, motion }]), input);
}

const verbs: Readonly<Record<Mark["kind"], string>> = {
  reset: "was re-set",
  correction: "was put right",
  anchor: "was put elsewhere",
  break: "moved",
};

function entry(part: Part, place: Place, motion: RigidMotion, largest: Displacement, input: JudgeInput): Correction {
  const kind = place.kind as Mark["kind"];
  const mm = mmAt(part, largest.px, input);
  const size = `${pxWords(largest.px, largest.sigma)}${mmWords(mm, ((mm ?? 0) * largest.sigma) / (largest.px || 1))}`;
  const seen = largest.px > SEEN_SIGMAS * largest.sigma;
  const by =
    place.against === null
      ? `by ${size} ${wayWords(largest.direction)}`
      : `and stands ${size} ${wayWords(largest.direction)} from where it was in frame ${place.against}`;
  const nothing = place.against === null ? "" : ` since frame ${place.against}`;
  const what = seen
    ? by
    : `but no change can be seen${nothing} (less than ${(SEEN_SIGMAS * largest.sigma).toFixed(2)} px)`;
  return {
    part: part.id,
    frame: place.frame,
    kind,
    against: place.against,
    dx: px(motion.dx),
    dy: px(motion.dy),
    turn: radians(motion.turn),
    sigmaDx: px(Math.sqrt(motion.covariance[0])),
    sigmaDy: px(Math.sqrt(motion.covariance[4])),
    px: px(largest.px),
    sigma: px(largest.sigma),
    mm,
    message: `${capital(part.name)} ${verbs[kind]} before frame ${place.frame} ${what}.`,
  };
}
