import { expect, test } from "vitest";
import { cleanPatch, insideOf, translationBound } from "../support/bound.ts";
import { jpegSteps } from "../support/jpeg-steps.ts";
import { partJpegBound } from "../support/part-jpeg-bound.ts";
import { heldPart } from "../support/shots.ts";
import { centroidOf } from "../support/truth.ts";

// The bound from JPEG's blocks against the bound from pixels, which knows nothing of blocks.

const noise = { sigma8: 1, poissonShare: 0.7 };

const sceneOf = (texture: "woven" | "skin") => {
  const { scene } = heldPart({ size: 64, texture, seed: 5, width: 160, height: 152, frames: 2 });
  const outline = scene.layers[0].outline;
  const whole = { ...cleanPatch({ ...scene, noise }, 1), inside: insideOf(outline, 2) };
  const left = Math.floor(Math.min(...outline.map(([x]) => x)));
  const top = Math.floor(Math.min(...outline.map(([, y]) => y)));
  return { whole, left, top, turnAbout: centroidOf(outline) };
};

/** The pixels' own bound with the same tiles: they begin at the patch's corner, so the patch is cut there. */
function pixelBound({ whole, left, top, turnAbout: [x, y] }: ReturnType<typeof sceneOf>, tile: number): number {
  const { width, height } = whole.value;
  const cut = (data: Float32Array) => ({
    width: width - left,
    height: height - top,
    data: Float32Array.from(
      { length: (width - left) * (height - top) },
      (_, i) => data[(top + Math.floor(i / (width - left))) * width + left + (i % (width - left))],
    ),
  });
  const patch = {
    value: cut(whole.value.data),
    gradientX: cut(whole.gradientX.data),
    gradientY: cut(whole.gradientY.data),
    variance: cut(whole.variance.data),
    inside: (u: number, v: number) => whole.inside(u + left, v + top),
  };
  const { sigmaX, sigmaY } = translationBound(patch, { gainOffset: true, tile, turnAbout: [x - left, y - top] });
  return Math.hypot(sigmaX, sigmaY);
}

test.each(["woven", "skin"] as const)(
  "without rounding the blocks of %s tell what its pixels tell, with it less, the more the coarser it is",
  async (texture) => {
    const scene = sceneOf(texture);
    const by = (steps: readonly number[] | null): number => {
      const { xx, yy } = partJpegBound(scene.whole, { ...scene, noise, tile: 20, steps });
      return Math.sqrt(xx + yy);
    };
    // Gains and offsets of linear light and of grey levels are not quite the same unknowns.
    expect(by(null) / pixelBound(scene, 20)).toBeGreaterThan(0.95);
    expect(by(null) / pixelBound(scene, 20)).toBeLessThan(1.05);
    const [fine, usual, coarse] = [by(await jpegSteps(100)), by(await jpegSteps(92)), by(await jpegSteps(75))];
    expect(fine).toBeGreaterThan(by(null));
    expect(fine).toBeLessThan(1.15 * by(null));
    expect(usual).toBeGreaterThan(fine);
    expect(coarse).toBeGreaterThan(1.2 * usual);
  },
);
