import { expect, test } from "vitest";
import type { PartMotion } from "../../src/measure/part-motion.ts";
import { bestTemplate } from "../../src/measure/choose-prefilter.ts";
import { PartRegistrar } from "../../src/measure/part-register.ts";
import { rivalsOf } from "../../src/measure/part-rivals.ts";
import { type Layer, roundedBox } from "../support/scene.ts";
import type { Point } from "../support/similarity.ts";
import type { Texture } from "../support/texture.ts";
import { chosenFor, partScene, preparedOf, sceneOf } from "./measure-pictures.ts";

const registrar = new PartRegistrar();
const PERIODS = { woven: 7.5, herringbone: 6.5, stripes: 8 } as const;

const jumps = (period: number): Point[] => [
  ...[0.3, 0.7, 1].flatMap((share): Point[] => [
    [share * period, 0],
    [0, share * period],
  ]),
  [40, 0],
  [-24, 32],
];

test.each(["woven", "herringbone", "stripes"] as const)(
  "%s that jumps by 0.3, 0.7 or 1 thread, or 40 px, is found there or says that it can't tell",
  (texture) => {
    const shifts = jumps(PERIODS[texture]);
    const part = partScene({
      texture,
      size: 70,
      width: 210,
      height: 210,
      noise: 1,
      motion: (at) => ({ dx: shifts[at - 2]?.[0] ?? 0, dy: shifts[at - 2]?.[1] ?? 0 }),
    });
    const prepared = preparedOf(part.scene);
    const chosen = chosenFor(part);
    const wrong = shifts.flatMap(([dx, dy], i) => {
      const found = registrar.register(chosen, prepared(i + 2));
      const across = Math.abs(found.dx - dx) < 0.05;
      const right = texture === "stripes" ? across : across && Math.abs(found.dy - dy) < 0.05;
      return right || found.state === "ambiguous" || found.rival !== undefined
        ? []
        : [`${dx}, ${dy}: ${found.state} ${found.dx}, ${found.dy}`];
    });
    expect(wrong).toEqual([]);
  },
);

/** Cloth of one thread after the other, all alike. */
const alike =
  (period: number): Texture =>
  (u, v) =>
    Math.cos((2 * Math.PI * u) / period) + Math.cos((2 * Math.PI * v) / period);
const PERIOD = 9;

/** A part of 70 px; `cloth` is how far its cloth goes, px: beyond the outline there is more of the same. */
function repeated(cloth: number, shifts: readonly Point[]): PartMotion[] {
  const centre: Point = [110.3, 109.8];
  const layer: Layer = {
    id: "held",
    outline: roundedBox(centre, cloth, cloth),
    texture: alike(PERIOD),
    contrast: 0.15,
    brightness: 0.3,
    motion: (at) => ({ dx: shifts[at - 3]?.[0] ?? 0, dy: shifts[at - 3]?.[1] ?? 0 }),
  };
  const prepared = preparedOf(sceneOf({ width: 220, height: 220, noise: 1, layers: [layer] }));
  const chosen = bestTemplate(prepared(1), [prepared(2)], roundedBox(centre, 70, 70), [], centre, 1)!;
  return shifts.map((_, i) => registrar.register(chosen, prepared(i + 3)));
}

test("the repeats of a pattern are found with their period, and skin has none", () => {
  const prepared = preparedOf(
    sceneOf({
      width: 220,
      height: 220,
      layers: [
        {
          id: "held",
          outline: roundedBox([110, 110], 150, 150),
          texture: alike(PERIOD),
          contrast: 0.15,
          brightness: 0.3,
        },
      ],
    }),
  );
  const cloth = bestTemplate(prepared(1), [], roundedBox([110, 110], 90, 90), [], [110, 110], 1)!;
  const [first] = rivalsOf(cloth.template, prepared(1))();
  expect(Math.abs(Math.hypot(first.dx, first.dy) - PERIOD)).toBeLessThan(0.4);
  expect(first.correlation).toBeGreaterThan(0.75);
  const skin = partScene({ texture: "skin", size: 90, width: 160, height: 160 });
  expect(chosenFor(skin).rivals()).toEqual([]);
});

test("where all threads are alike a small drift stands, and a jump is handed on with the other place", () => {
  const shifts = [0.1, 0.2, 0.3, 0.7].map((share): Point => [share * PERIOD, 0]);
  const [first, second, jumped, further] = repeated(190, shifts);
  for (const [i, found] of [first, second].entries()) {
    expect(found.state).toBe("ok");
    expect(found.rival).toBeUndefined();
    expect(Math.abs(found.dx - shifts[i][0])).toBeLessThan(0.03);
  }
  for (const found of [jumped, further])
    expect(Math.abs(Math.hypot(...(found.rival ?? [0, 0])) - PERIOD)).toBeLessThan(0.5);
});

test("where all threads are alike the part's outline tells of a jump, or the part says that it can't tell", () => {
  const shifts = [0.3, 0.7, 1].map((share): Point => [share * PERIOD, 0]);
  const wrong = repeated(70, shifts).filter(
    ({ rival, state, dx }, i) => rival === undefined && state !== "ambiguous" && !(Math.abs(dx - shifts[i][0]) < 0.05),
  );
  expect(wrong).toEqual([]);
});
