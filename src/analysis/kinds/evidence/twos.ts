import { median } from "../../../measure/statistics/robust.ts";
import type { Part } from "../../../model/index.ts";
import type { FrameNumber } from "../../../units/index.ts";
import type { JudgeInput, MovingRun } from "../../series.ts";
import type { CameraEvent } from "./camera-motion.ts";
import { type HeldRow, motionOf, rowsOfTracks } from "./held-series.ts";
import { type Displacement, largestDisplacement } from "./rigid.ts";

// Shooting on twos: every pose is exposed twice, and between the two exposures nothing should move. Found from the
// pictures: every other frame moves and the ones between stand still.

/** Poses that it takes to believe in twos. */
const LEAST_POSES = 4;
/** The moves are larger than this, px, and than so many times what the second exposures show; most of these stand still. */
const MOVES_PX = 0.3;
const MOVES_TIMES = 4;
const STILL_SHARE = 0.7;
/** A still exposure moves by less than this share of a usual move. */
const STILL = 0.25;
/** Standard errors of a second exposure against what the others show. Rayleigh's law gives 1.5e-8 a look, plain tails more. */
const JUMP_SIGMAS = 6;
/** Median of Rayleigh's law in sigmas: sqrt(2 ln 2). */
const RAYLEIGH_MEDIAN = Math.sqrt(2 * Math.LN2);
/** What a moved camera leaves on a part, up to this share of it, belongs to the camera. */
const CAMERA_LEAVES = 0.25;

/** A part that moved between the two exposures of one pose. */
export interface TwosJump {
  readonly run: MovingRun;
  /** First and second exposure. */
  readonly first: FrameNumber;
  readonly second: FrameNumber;
  readonly largest: Displacement;
  readonly sigma: number;
  /** What could have been seen, px. */
  readonly floor: number;
  readonly statistic: number;
  readonly threshold: number;
}

interface Look {
  readonly row: HeldRow;
  readonly before: FrameNumber;
  readonly largest: Displacement;
}

export function twosJumps(input: JudgeInput, camera: readonly CameraEvent[]): TwosJump[] {
  const order = new Map(input.frames.map(({ frame }, i) => [frame, i] as const));
  const jumps = (input.moving ?? []).flatMap((run) => jumpsOf(run, order, input, camera));
  // What was touched carried the rest along.
  return jumps.filter(
    ({ run, second }) =>
      !jumps.some((other) => other.second === second && ridesOn(run.part, other.run.part, input.parts)),
  );
}

function ridesOn(part: Part, carrier: Part, parts: readonly Part[]): boolean {
  const seen = new Set<string>();
  for (let next = part.carrier; next !== null && !seen.has(next); ) {
    if (next === carrier.id) return true;
    seen.add(next);
    next = parts.find(({ id }) => id === next)?.carrier ?? null;
  }
  return false;
}

function jumpsOf(
  run: MovingRun,
  order: ReadonlyMap<FrameNumber, number>,
  { frames }: JudgeInput,
  camera: readonly CameraEvent[],
): TwosJump[] {
  const looks = rowsOfTracks(run.rows).flatMap((row): Look[] => {
    const at = order.get(row.frame) ?? 0;
    if (at === 0) return [];
    const motion = motionOf(Float64Array.of(row.dx, row.dy, row.turn), row.covariance, run.centroid);
    return [{ row, before: frames[at - 1].frame, largest: largestDisplacement([{ outline: run.outline, motion }]) }];
  });
  for (const parity of [0, 1]) {
    const isSecond = ({ row }: Look) => (order.get(row.frame) ?? 0) % 2 === parity;
    const seconds = looks.filter(isSecond);
    const moves = looks.filter((look) => !isSecond(look));
    if (seconds.length < LEAST_POSES || moves.length < LEAST_POSES) continue;
    const usual = median(moves.map(({ largest }) => largest.px));
    const still = median(seconds.map(({ largest }) => largest.px));
    const calm = seconds.filter(({ largest }) => largest.px < STILL * usual);
    if (usual < MOVES_PX || usual < MOVES_TIMES * still || calm.length < STILL_SHARE * seconds.length) continue;
    return seconds.flatMap(({ row, before, largest }) => {
      const sigma = Math.max(largest.sigma, still / RAYLEIGH_MEDIAN);
      const statistic = largest.px / sigma;
      const isCamera = camera.some(
        (move) => move.from === row.frame && largest.px < CAMERA_LEAVES * Math.hypot(...move.at(run.centroid)),
      );
      if (statistic <= JUMP_SIGMAS || isCamera) return [];
      const floor = JUMP_SIGMAS * sigma;
      return [{ run, first: before, second: row.frame, largest, sigma, floor, statistic, threshold: JUMP_SIGMAS }];
    });
  }
  return [];
}
