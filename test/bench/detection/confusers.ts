import { crowdSurface } from "../../support/crowd.ts";
import { type Random, seedOf } from "../../support/random.ts";
import { capsule, type Layer, type Light } from "../../support/scene.ts";
import type { Point } from "../../support/similarity.ts";

// What several sorts of clean shots have in common that could be taken for a fault.

interface Picture {
  /** px. */
  readonly width: number;
  readonly height: number;
  readonly frames: number;
}

/** The soft edge of a shadow that crosses the whole picture between the first frame and the last. */
export function sweepingShadow(random: Random, { width, height, frames }: Picture): (frame: number) => Light {
  const angle = random.between(0, 2 * Math.PI);
  const across: Point = [Math.cos(angle), Math.sin(angle)];
  const reach = 0.5 * (Math.abs(across[0]) * width + Math.abs(across[1]) * height);
  const middle = across[0] * (width / 2) + across[1] * (height / 2);
  const softness = random.between(40, 80);
  const depth = random.between(0.15, 0.4);
  const way = 2 * reach + 2 * softness;
  return (frame) => ({
    shadow: { across, softness, depth, edge: middle - reach - softness + (way * (frame - 1)) / (frames - 1) },
  });
}

/** A sleeve that passes in front of everything from right to left. */
export function passingArm(seed: number, random: Random, { width, height, frames }: Picture): Layer {
  const y = height * random.between(0.2, 0.7);
  return {
    id: "arm-passing",
    outline: capsule([width + 10, y], [width + 120, y - 260], 26, 34),
    ...crowdSurface("woven", seedOf(seed, 0x70), null),
    motion: (frame) => ({ dx: (-(width + 240) * (frame - 1)) / (frames - 1) }),
  };
}
