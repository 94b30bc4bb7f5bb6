import { type Affine, followedBy, inverseOf } from "../../measure/affine.ts";
import type { Plate } from "../../measure/redraw/behind.ts";
import { coloursOf, type Raster, whiteOf } from "../../measure/redraw/raster.ts";
import { applyPatch, type Layer, type Patch, plateMask, redraw, redrawWhole } from "../../measure/redraw/redraw.ts";
import type { Report, Sheet } from "../../model/index.ts";
import { cameraFromTo, coveredIn, platesFor, redrawFrame, type RedrawChoice } from "./drift-layers.ts";

/** Pictures of other frames, of the same size as the one that is drawn; null where there is none. */
type PlateOf = (frame: number) => Promise<Raster | null>;

interface Prepared {
  readonly layers: readonly Layer[];
  readonly whole: Affine | null;
  readonly plates: readonly Plate[];
  /** The plates as they lie under the picture that is put back by `whole`. */
  readonly behindWhole: readonly Plate[];
  readonly parts: readonly string[];
}

async function prepared(
  report: Report,
  sheet: Sheet | null,
  frame: number,
  choice: RedrawChoice,
  { width, height }: Raster,
  plateOf: PlateOf,
): Promise<Prepared> {
  const scale = width / report.shot.width;
  const { layers, whole } = redrawFrame(report, sheet, frame, choice, scale);
  const parts = layers.map(({ part }) => part);
  const plates: Plate[] = [];
  const wanted = layers.length > 0 ? platesFor(report, sheet, frame, parts) : [];
  const camera = whole !== null && choice.camera !== null && choice.camera !== frame ? [choice.camera] : [];
  for (const other of new Set([...wanted, ...camera])) {
    const picture = await plateOf(other);
    if (picture === null || picture.width !== width || picture.height !== height) continue;
    plates.push({
      raster: picture,
      to: cameraFromTo(report, frame, other, scale),
      covered: coveredIn(report, sheet, other, parts, scale).flatMap((shape) => plateMask(shape, width, height) ?? []),
    });
  }
  const back = whole === null ? null : inverseOf(whole);
  const behindWhole = back === null ? [] : plates.map((plate) => ({ ...plate, to: followedBy(back, plate.to) }));
  return { layers, whole, plates, behindWhole, parts };
}

export interface Redrawn {
  /** What changes in the frame's picture; null where nothing does. */
  readonly patch: Patch | null;
  /** Parts that were drawn elsewhere. */
  readonly parts: readonly string[];
}

const withPatch = (raster: Raster, patch: Patch | null): Raster => {
  if (patch === null) return raster;
  const copy: Raster = { ...raster, data: raster.data.slice() };
  applyPatch(copy, patch);
  return copy;
};

/**
 * A frame with its measured drift drawn `choice.times` as large; 0 holds it still.
 * @param raster the frame's picture, of any size; not changed
 */
export async function redrawn(
  report: Report,
  sheet: Sheet | null,
  frame: number,
  choice: RedrawChoice,
  raster: Raster,
  plateOf: PlateOf,
): Promise<Redrawn> {
  const { layers, whole, plates, behindWhole, parts } = await prepared(report, sheet, frame, choice, raster, plateOf);
  const patch = redraw(raster, layers, plates);
  if (whole === null) return { patch, parts };
  const { width, height } = raster;
  const all = redrawWhole(withPatch(raster, patch), whole, behindWhole, { left: 0, top: 0, width, height });
  return { patch: { ...all, guessed: Math.max(all.guessed, patch?.guessed ?? 0) }, parts };
}

/** Rows of a whole picture that are drawn at a time: a large one would not go into memory as numbers. */
const BAND = 256;

/** What is laid over a frame to hold it still: red, green, blue and alpha, not multiplied, in the frame's own depth. */
export interface PaintOut {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array | Uint16Array;
  readonly guessed: number;
  readonly parts: readonly string[];
}

function write(patch: Patch, white: number, colours: number, width: number, into: Uint8Array | Uint16Array): void {
  const { rect, colour, alpha } = patch;
  for (let y = 0; y < rect.height; y++) {
    for (let x = 0; x < rect.width; x++) {
      const at = y * rect.width + x;
      const a = Math.round(alpha[at] * white);
      if (a === 0) continue;
      const to = ((rect.top + y) * width + rect.left + x) * 4;
      for (let c = 0; c < 3; c++) {
        const value = colour[at * colours + (colours === 1 ? 0 : c)] / alpha[at];
        into[to + c] = Math.min(white, Math.max(0, Math.round(value)));
      }
      into[to + 3] = a;
    }
  }
}

/** The layer that is laid over one frame; all of it see-through where nothing drifted. The frame itself isn't changed. */
export async function paintOut(
  report: Report,
  sheet: Sheet | null,
  frame: number,
  choice: RedrawChoice,
  raster: Raster,
  plateOf: PlateOf,
): Promise<PaintOut> {
  const { width, height } = raster;
  const { layers, whole, plates, behindWhole, parts } = await prepared(report, sheet, frame, choice, raster, plateOf);
  const white = whiteOf(raster);
  const data = white > 255 ? new Uint16Array(width * height * 4) : new Uint8Array(width * height * 4);
  const patch = redraw(raster, layers, plates);
  if (whole === null) {
    if (patch !== null) write(patch, white, coloursOf(raster), width, data);
    return { width, height, data, guessed: patch?.guessed ?? 0, parts };
  }
  const base = withPatch(raster, patch);
  let guessed = patch?.guessed ?? 0;
  for (let top = 0; top < height; top += BAND) {
    const rect = { left: 0, top, width, height: Math.min(BAND, height - top) };
    const band = redrawWhole(base, whole, behindWhole, rect);
    guessed = Math.max(guessed, (band.guessed * rect.height) / height);
    write(band, white, coloursOf(raster), width, data);
  }
  return { width, height, data, guessed, parts };
}
