import type { FrameNumber } from "../units/index.ts";
import { plus } from "./covariance.ts";
import type { HeldRow } from "./hold-rows.ts";

/** A carrier's rigid motion since its own anchor, told at its own centroid. */
export interface CarrierHold {
  readonly centroid: readonly [number, number];
  readonly anchor: FrameNumber;
  readonly rows: ReadonlyMap<FrameNumber, HeldRow>;
}

const REST: Pick<HeldRow, "dx" | "dy" | "turn" | "covariance"> = {
  dx: 0,
  dy: 0,
  turn: 0,
  covariance: [0, 0, 0, 0, 0, 0],
};

/**
 * Takes a held carrier's own motion out of what rides on it. The carrier's error of turn times the lever arm goes into
 * the rider's sigma.
 * @returns rows with no number where the carrier has none
 */
export function carrierOut(
  rows: readonly HeldRow[],
  anchor: FrameNumber,
  centroid: readonly [number, number],
  carrier: CarrierHold,
): HeldRow[] {
  const at = (frame: FrameNumber): Pick<HeldRow, "dx" | "dy" | "turn" | "covariance"> | null =>
    frame === carrier.anchor ? REST : (carrier.rows.get(frame) ?? null);
  const u = centroid[0] - carrier.centroid[0];
  const v = centroid[1] - carrier.centroid[1];
  const start = at(anchor);
  return rows.map((row) => {
    const now = at(row.frame);
    if (now === null || start === null || !Number.isFinite(now.dx) || !Number.isFinite(start.dx))
      return {
        ...row,
        dx: Number.NaN,
        dy: Number.NaN,
        turn: Number.NaN,
        state: "lost" as const,
        reason: "its carrier could not be measured in this frame",
      };
    const turn = now.turn - start.turn;
    // Exactly, not to first order: over a long sag the square of the turn is a false pull towards the pivot.
    const ru = u - start.dx;
    const rv = v - start.dy;
    const along = Math.cos(turn) - 1;
    const across = Math.sin(turn);
    const carriedX = now.dx - start.dx + along * ru - across * rv;
    const carriedY = now.dy - start.dy + across * ru + along * rv;
    const c = now.covariance;
    return {
      ...row,
      dx: row.dx - carriedX,
      dy: row.dy - carriedY,
      turn: row.turn - turn,
      covariance: plus(row.covariance, [
        c[0] - 2 * v * c[2] + v * v * c[5],
        c[1] + u * c[2] - v * c[4] - u * v * c[5],
        c[2] - v * c[5],
        c[3] + 2 * u * c[4] + u * u * c[5],
        c[4] + u * c[5],
        c[5],
      ]),
    };
  });
}
