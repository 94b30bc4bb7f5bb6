import type { Plane } from "../../src/measure/plane.ts";
import { noiseVariance } from "./expose.ts";
import { lumaOf, renderClean } from "./render.ts";
import type { Scene } from "./scene.ts";
import type { Motion, Point } from "./similarity.ts";
import { slopeOfSrgb } from "./srgb.ts";
import { centroidOf, layerOf, placeOf } from "./truth.ts";

// How well a displacement can be measured at all: the Cramer-Rao bound of a shift between two pictures of the same
// texture (Robinson & Milanfar 2004, Fundamental performance limits in image registration): the inverse of the sum of
// (fx, fy)' (fx, fy) / sigma^2 over the pixels. JPEG is not in it.

export interface BoundOptions {
  /** How many times the noise of one frame the difference holds: 2 (the default) where both frames are noisy, 1 against a perfect template, 1.25 against the mean of four frames. */
  readonly noisyFrames?: number;
  /** A gain and an offset of the light are unknown too, for each tile. */
  readonly gainOffset?: boolean;
  /** Side of the tiles, px; one tile for all if left out. */
  readonly tile?: number;
  /** A turn about this place is unknown too. */
  readonly turnAbout?: Point;
}

/** Standard deviations that no unbiased estimate can beat: px, and radians. Infinity where nothing can be told. */
export interface Bound {
  readonly sigmaX: number;
  readonly sigmaY: number;
  readonly rho: number;
  /** Null where no turn was asked for. */
  readonly sigmaTurn: number | null;
  /** Along the direction that can be told best, and worst. */
  readonly best: number;
  readonly worst: number;
  /** Unit vector of the best one. */
  readonly direction: Point;
  readonly pixels: number;
}

/** A noise-free patch: linear light, its derivatives per px, and the noise variance of one frame at each pixel. */
export interface Patch {
  readonly value: Plane;
  readonly gradientX: Plane;
  readonly gradientY: Plane;
  readonly variance: Plane;
  /** True for the pixels that count. */
  readonly inside: (x: number, y: number) => boolean;
  /** Share of the motion that a place goes, where a surface moves over what carries it; 1 by default. */
  readonly share?: (x: number, y: number) => number;
}

/** The bound of a shift (and turn, if asked) for the pixels inside a patch. */
export function translationBound(patch: Patch, options: BoundOptions = {}): Bound {
  const { noisyFrames = 2, gainOffset = false, turnAbout } = options;
  const { width, height } = patch.value;
  const tile = options.tile ?? Math.max(width, height);
  const motions = turnAbout === undefined ? 2 : 3;
  const unknowns = motions + (gainOffset ? 2 : 0);
  const total = square(motions);
  let pixels = 0;
  for (let top = 0; top < height; top += tile) {
    for (let left = 0; left < width; left += tile) {
      const information = square(unknowns);
      let count = 0;
      for (let y = top; y < Math.min(height, top + tile); y++) {
        for (let x = left; x < Math.min(width, left + tile); x++) {
          if (!patch.inside(x, y)) continue;
          const i = y * width + x;
          const share = patch.share?.(x + 0.5, y + 0.5) ?? 1;
          const fx = share * patch.gradientX.data[i];
          const fy = share * patch.gradientY.data[i];
          const row = [fx, fy];
          if (turnAbout) row.push(fy * (x + 0.5 - turnAbout[0]) - fx * (y + 0.5 - turnAbout[1]));
          if (gainOffset) row.push(patch.value.data[i], 1);
          const weight = 1 / (noisyFrames * patch.variance.data[i]);
          for (let p = 0; p < unknowns; p++) {
            for (let q = 0; q < unknowns; q++) information[p][q] += row[p] * row[q] * weight;
          }
          count++;
        }
      }
      if (count < unknowns) continue;
      pixels += count;
      // What the tile's own unknowns take away: the Schur complement, one unknown at a time from the last.
      for (let drop = unknowns - 1; drop >= motions; drop--) {
        const pivot = information[drop][drop];
        if (pivot <= 0) continue;
        for (let p = 0; p < drop; p++) {
          for (let q = 0; q < drop; q++) information[p][q] -= (information[p][drop] * information[drop][q]) / pivot;
        }
      }
      for (let p = 0; p < motions; p++) for (let q = 0; q < motions; q++) total[p][q] += information[p][q];
    }
  }
  return boundFrom(total, pixels);
}

const square = (size: number): number[][] => Array.from({ length: size }, () => new Array<number>(size).fill(0));

function boundFrom(information: readonly (readonly number[])[], pixels: number): Bound {
  let sigmaTurn: number | null = null;
  let [[xx, xy], [, yy]] = information as [[number, number], [number, number]];
  if (information.length === 3) {
    const [[, , xt], [, , yt], [, , tt]] = information as [number[], number[], number[]];
    const det = xx * yy - xy * xy;
    const left = tt - (xt * xt * yy - 2 * xt * yt * xy + yt * yt * xx) / det;
    sigmaTurn = det > 0 && left > 0 ? 1 / Math.sqrt(left) : Number.POSITIVE_INFINITY;
    if (tt > 0) {
      xx -= (xt * xt) / tt;
      xy -= (xt * yt) / tt;
      yy -= (yt * yt) / tt;
    }
  }
  const middle = (xx + yy) / 2;
  const half = Math.hypot((xx - yy) / 2, xy);
  const angle = 0.5 * Math.atan2(2 * xy, xx - yy);
  const strong = middle + half;
  // A smaller eigenvalue of no more than rounding error means that one direction can't be told.
  const weak = middle - half > 1e-9 * strong ? middle - half : 0;
  const det = strong * weak;
  const sigma = (value: number): number => (value > 0 ? 1 / Math.sqrt(value) : Number.POSITIVE_INFINITY);
  return {
    sigmaX: det > 0 ? Math.sqrt(yy / det) : Number.POSITIVE_INFINITY,
    sigmaY: det > 0 ? Math.sqrt(xx / det) : Number.POSITIVE_INFINITY,
    rho: det > 0 ? -xy / Math.sqrt(xx * yy) : 0,
    sigmaTurn,
    best: sigma(strong),
    worst: sigma(weak),
    direction: [Math.cos(angle), Math.sin(angle)],
    pixels,
  };
}

export interface PartBoundOptions extends Omit<BoundOptions, "turnAbout"> {
  readonly frame?: number;
  /** Pixels nearer to the outline than this are left out, px; 2 by default: they mix with what is behind. */
  readonly erode?: number;
  /** A turn about the outline's centroid is unknown too (the default). */
  readonly turn?: boolean;
}

/**
 * The bound of a layer's own motion in a scene, from its noise-free picture. Derivatives come from drawing the scene
 * again, moved by a fiftieth of a pixel, not from differences of pixels. Quantisation counts as noise of 1/12 step^2.
 */
export function partBound(scene: Scene, id: string, options: PartBoundOptions = {}): Bound {
  const { frame = 1, erode = 2, turn = true } = options;
  const outline = layerOf(scene, id).outline.map((point) => placeOf(scene, id, point, frame, "in"));
  const patch = { ...cleanPatch(scene, frame), inside: insideOf(outline, erode) };
  return translationBound(patch, { ...options, ...(turn ? { turnAbout: centroidOf(outline) } : {}) });
}

/** The noise-free linear luma of a frame with its exact derivatives and the noise it would have. */
export function cleanPatch(scene: Scene, frame: number): Omit<Patch, "inside"> {
  const step = 0.02;
  const moved = (dx: number, dy: number): Plane => {
    const camera = (at: number): Motion => {
      const own = scene.camera?.(at) ?? {};
      return { ...own, dx: (own.dx ?? 0) + dx, dy: (own.dy ?? 0) + dy };
    };
    return lumaOf(renderClean({ ...scene, camera }, frame).planes);
  };
  const value = lumaOf(renderClean(scene, frame).planes);
  // A picture that moved by +step shows at x what was at x - step.
  const gradient = (plus: Plane, minus: Plane): Plane => ({
    ...value,
    data: plus.data.map((ahead, i) => (minus.data[i] - ahead) / (2 * step)),
  });
  const top = 2 ** (scene.bits ?? 8) - 1;
  const channelShare = scene.colour === true ? 0.2126 ** 2 + 0.7152 ** 2 + 0.0722 ** 2 : 1;
  const variance: Plane = {
    ...value,
    data: value.data.map(
      (level) =>
        channelShare * (noiseVariance(scene.noise, level) + 1 / (12 * (top * slopeOfSrgb(Math.min(1, level))) ** 2)),
    ),
  };
  return {
    value,
    gradientX: gradient(moved(step, 0), moved(-step, 0)),
    gradientY: gradient(moved(0, step), moved(0, -step)),
    variance,
  };
}

/** Whether the centre of a pixel lies inside a polygon (even-odd), and at least `erode` px from its edges; below 0: or no farther outside than that. */
export function insideOf(outline: readonly Point[], erode: number): (col: number, row: number) => boolean {
  const left = Math.min(...outline.map((p) => p[0]));
  const right = Math.max(...outline.map((p) => p[0]));
  const top = Math.min(...outline.map((p) => p[1]));
  const bottom = Math.max(...outline.map((p) => p[1]));
  return (col, row) => {
    const x = col + 0.5;
    const y = row + 0.5;
    const beyond = Math.max(0, -erode);
    if (x < left - beyond || x > right + beyond || y < top - beyond || y > bottom + beyond) return false;
    let inside = false;
    let near = false;
    for (let i = 0; i < outline.length; i++) {
      const [x0, y0] = outline[i];
      const [x1, y1] = outline[(i + 1) % outline.length];
      const [ex, ey] = [x1 - x0, y1 - y0];
      if (y0 > y !== y1 > y && x < x0 + ((y - y0) / ey) * ex) inside = !inside;
      if (erode === 0 || (ex === 0 && ey === 0)) continue;
      const t = Math.min(1, Math.max(0, ((x - x0) * ex + (y - y0) * ey) / (ex * ex + ey * ey)));
      if ((x - x0 - t * ex) ** 2 + (y - y0 - t * ey) ** 2 >= erode * erode) continue;
      if (erode > 0) return false;
      near = true;
    }
    return inside || near;
  };
}
