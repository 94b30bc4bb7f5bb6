import type { Look } from "../state/view.ts";

/** Where the frame lies on the canvas: screen px = left + scale * frame px. */
export interface Place {
  readonly left: number;
  readonly top: number;
  /** Screen px to a px of the original frame. */
  readonly scale: number;
}

const MARGIN = 16;

/** Puts a frame of `width` by `height` px on a canvas, whole at scale 1, the middle of `look` in the middle. */
export function placeOf(look: Look, width: number, height: number, canvasWidth: number, canvasHeight: number): Place {
  const fit = Math.min((canvasWidth - 2 * MARGIN) / width, (canvasHeight - 2 * MARGIN) / height);
  const scale = Math.max(1e-3, fit) * look.scale;
  return {
    left: canvasWidth / 2 - look.x * width * scale,
    top: canvasHeight / 2 - look.y * height * scale,
    scale,
  };
}
