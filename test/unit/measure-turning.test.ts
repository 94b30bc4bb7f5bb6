import { expect, test } from "vitest";
import { type Carry, STAY } from "../../src/measure/carry.ts";
import { measureNodes } from "../../src/measure/left-over.ts";
import { NODE_VALUES } from "../../src/measure/node-samples.ts";
import { ALONG_SIGMA, axesOf } from "../../src/measure/one-way.ts";
import { prepareFrame, withGradient } from "../../src/measure/prepared.ts";
import { SubsetSolver } from "../../src/measure/subset.ts";
import { similarityOf } from "../support/similarity.ts";
import type { TextureName } from "../support/texture.ts";
import { mean, picturesOf, rms, sceneOf } from "./measure-pictures.ts";

// Nodes of a surface that turns and stretches from one frame to the next.

const WIDTH = 160;
const HEIGHT = 130;
const places = Array.from({ length: 14 * 10 }, (_, i) => [26.5 + 8 * (i % 14), 26.5 + 8 * Math.floor(i / 14)]).flat();

/** How wrong the seed is: turn in radians, growth. */
interface Wrong {
  readonly turn: number;
  readonly scale: number;
}

interface Told {
  readonly found: number;
  /** Error along the direction that the node knows better, px and sigmas. */
  readonly errors: readonly number[];
  readonly scores: readonly number[];
  /** The same along the other one, where anything is known of it. */
  readonly coarse: readonly number[];
  readonly x: readonly number[];
  readonly y: readonly number[];
}

function nodesOf(background: TextureName, noise: number, turn: number, scale: number, wrong?: Wrong): Told {
  const motion = { dx: 0.23, dy: -0.41, turn, scale, pivot: [WIDTH / 2, HEIGHT / 2] } as const;
  const camera = (frame: number) => (frame === 1 ? {} : motion);
  const pictures = picturesOf(sceneOf({ width: WIDTH, height: HEIGHT, noise, background, camera }));
  const reference = withGradient(prepareFrame(pictures(1)));
  const carry = (of: typeof motion | Omit<typeof motion, "turn" | "scale">): Carry => {
    const { a, b, tx, ty } = similarityOf(of);
    return { a, b, shiftX: tx, shiftY: ty };
  };
  const truth = carry(motion);
  const seed =
    wrong === undefined
      ? truth
      : carry({ ...motion, turn: turn + wrong.turn, scale: scale + wrong.scale } as typeof motion);
  const values = measureNodes(reference, prepareFrame(pictures(2)), new SubsetSolver(21), places, STAY, seed, false);
  const told = { found: 0, errors: [], scores: [], coarse: [], x: [], y: [] } as {
    -readonly [K in keyof Told]: Told[K] extends number ? number : number[];
  };
  for (let i = 0; i < places.length / 2; i++) {
    const [ofX, ofY, varX, varY, covXY] = values.subarray(i * NODE_VALUES, (i + 1) * NODE_VALUES);
    if (!Number.isFinite(ofX)) continue;
    // A subset's middle is that of a whole pixel.
    const [cx, cy] = [Math.floor(places[2 * i]) + 0.5, Math.floor(places[2 * i + 1]) + 0.5];
    const dx = ofX + (seed.a - truth.a) * cx - (seed.b - truth.b) * cy + seed.shiftX - truth.shiftX;
    const dy = ofY + (seed.b - truth.b) * cx + (seed.a - truth.a) * cy + seed.shiftY - truth.shiftY;
    const { smaller, larger, axis } = axesOf([varX, covXY, varY]);
    const fine = dx * axis[0] + dy * axis[1];
    told.found++;
    told.errors.push(fine);
    told.scores.push(fine / Math.sqrt(smaller));
    if (larger < 0.9 * ALONG_SIGMA ** 2) told.coarse.push((dy * axis[0] - dx * axis[1]) / Math.sqrt(larger));
    told.x.push(dx);
    told.y.push(dy);
  }
  return told;
}

const TEXTURES = ["woven", "herringbone", "stripes", "hair", "skin"] as const;
const still = new Map<TextureName, number>(
  TEXTURES.map((texture) => [texture, rms(nodesOf(texture, 0.5, 0, 1).errors)]),
);
/** How much larger than that of a surface that only moves an error may be: 140 nodes that overlap tell it to a tenth. */
const AS_STILL = 1.2;

test("a surface that turns by 0.005 to 0.05 rad a frame or stretches by 1 % is told as one that only moves", () => {
  for (const texture of TEXTURES)
    for (const [turn, scale] of [
      [0.005, 1],
      [0.02, 1],
      [0.05, 1],
      [0, 1.01],
      [-0.02, 1.01],
    ] as const) {
      const { found, errors, scores, coarse, x, y } = nodesOf(texture, 0.5, turn, scale);
      expect(found).toBe(places.length / 2);
      expect(rms(errors)).toBeLessThan(AS_STILL * still.get(texture)!);
      expect(rms(scores)).toBeGreaterThan(0.65);
      expect(rms(scores)).toBeLessThan(1.25);
      if (coarse.length > 20) expect(rms(coarse)).toBeLessThan(1.3);
      if (texture !== "hair") expect(Math.hypot(mean(x), mean(y))).toBeLessThan(0.015);
    }
});

test("where the part's motion is wrong by 0.008 rad and 0.3 %, the nodes themselves tell the turn", () => {
  const wrong = { turn: -0.008, scale: -0.003 };
  for (const texture of ["woven", "herringbone", "stripes", "skin"] as const) {
    const { found, errors, scores, coarse } = nodesOf(texture, 0.5, 0.022, 1, wrong);
    expect(found).toBe(places.length / 2);
    expect(rms(errors)).toBeLessThan(AS_STILL * still.get(texture)!);
    expect(rms(scores)).toBeLessThan(1.25);
    if (coarse.length > 20) expect(rms(coarse)).toBeLessThan(1.3);
  }
});
