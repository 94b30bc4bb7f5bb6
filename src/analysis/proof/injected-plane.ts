import type { Polygon } from "../../measure/mask.ts";
import type { Plane } from "../../measure/plane.ts";
import { putDrift } from "../../measure/put-drift.ts";
import { drifted } from "../../measure/resample.ts";
import type { Workspace } from "../../measure/workspace.ts";
import type { FrameNumber } from "../../units/index.ts";
import type { HoldPlan, Injection } from "../contract.ts";

/**
 * A frame's light with the drifts of one injection in it. The frame itself stays as it is.
 * @returns the plane, which the caller releases, and the holds that have a drift in this frame
 */
export function injectedPlane(
  linear: Plane,
  workspace: Workspace,
  injection: Injection,
  holds: ReadonlyMap<string, HoldPlan>,
  frame: FrameNumber,
): { readonly plane: Plane; readonly holds: readonly HoldPlan[] } {
  const plane = workspace.plane(linear.width, linear.height);
  plane.data.set(linear.data);
  const moved: HoldPlan[] = [];
  for (const { hold: id, motions } of injection.drifts) {
    const hold = holds.get(id);
    const motion = motions.find((one) => one.frame === frame);
    if (hold === undefined || motion === undefined) continue;
    // The outline where the part is by now: it may have drifted by itself, or the camera was knocked.
    const place = { ...motion.place, pivot: hold.centroid };
    const here = (ring: Polygon): Polygon => ring.map(([x, y]) => drifted(place, x, y));
    putDrift(linear, plane, here(hold.outline), hold.holes.map(here), {
      dx: motion.dx,
      dy: motion.dy,
      turn: motion.turn,
      pivot: drifted(place, ...motion.pivot),
    });
    moved.push(hold);
  }
  return { plane, holds: moved };
}
