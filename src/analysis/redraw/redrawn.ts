import { followedBy, inverseOf } from "../../measure/affine.ts";
import type { Plate } from "../../measure/redraw/behind.ts";
import type { Raster } from "../../measure/redraw/raster.ts";
import { applyPatch, type Patch, plateMask, redraw, redrawWhole } from "../../measure/redraw/redraw.ts";
import type { Report, Sheet } from "../../model/index.ts";
import { cameraFromTo, coveredIn, platesFor, redrawFrame, type RedrawChoice } from "./drift-layers.ts";

export interface Redrawn {
  /** What changes in the frame's picture; null where nothing does. */
  readonly patch: Patch | null;
  /** Parts that were drawn elsewhere. */
  readonly parts: readonly string[];
}

/**
 * A frame with its measured drift drawn `choice.times` as large; 0 holds it still.
 * @param raster the frame's picture, of any size; not changed
 * @param plateOf pictures of other frames, of the same size; null where there is none
 */
export async function redrawn(
  report: Report,
  sheet: Sheet | null,
  frame: number,
  choice: RedrawChoice,
  raster: Raster,
  plateOf: (frame: number) => Promise<Raster | null>,
): Promise<Redrawn> {
  const scale = raster.width / report.shot.width;
  const { layers, whole } = redrawFrame(report, sheet, frame, choice, scale);
  const parts = layers.map(({ part }) => part);
  if (layers.length === 0 && whole === null) return { patch: null, parts };
  const plates: Plate[] = [];
  const wanted = platesFor(report, sheet, frame, parts);
  for (const other of whole === null ? wanted : [...new Set([...wanted, choice.camera ?? frame])]) {
    const picture = await plateOf(other);
    if (picture === null || picture.width !== raster.width || picture.height !== raster.height) continue;
    plates.push({
      raster: picture,
      to: cameraFromTo(report, frame, other, scale),
      covered: coveredIn(report, sheet, other, parts, scale).flatMap(
        (shape) => plateMask(shape, picture.width, picture.height) ?? [],
      ),
    });
  }
  const patch = redraw(raster, layers, plates);
  if (whole === null) return { patch, parts };
  const base: Raster = patch === null ? raster : { ...raster, data: raster.data.slice() };
  if (patch !== null) applyPatch(base, patch);
  // The plates lie where this frame's camera has them: the new picture has another's.
  const back = inverseOf(whole);
  const all = redrawWhole(
    base,
    whole,
    plates.map((plate) => ({ ...plate, to: followedBy(back, plate.to) })),
  );
  return { patch: { ...all, guessed: Math.max(all.guessed, patch?.guessed ?? 0) }, parts };
}
