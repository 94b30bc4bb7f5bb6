import { test } from "vitest";
import { PartRegistrar } from "../../src/measure/part-register.ts";
import { partTemplate } from "../../src/measure/part-template.ts";
import { capsule, type Layer } from "../support/scene.ts";
import { surfaceOf } from "../support/shot.ts";
import { type PartOptions, partScene, preparedOf } from "./measure-pictures.ts";
const reg = new PartRegistrar();
function go(name: string, options: PartOptions, n: number) {
  const { scene, outline, centroid } = partScene(options);
  const p = preparedOf(scene);
  const t = partTemplate(p(1), outline, [], centroid)!;
  for (let i = 2; i <= n; i++) {
    const m = reg.register(t, p(i));
    const r = (reg as any).refine(t, p(i), 0, 0, 0);
    console.log(
      name,
      i,
      m.state,
      m.reason,
      m.dx.toFixed(4),
      m.dy.toFixed(4),
      "trust",
      m.trusted.toFixed(2),
      "sig",
      Math.sqrt(m.covariance[0]).toFixed(4),
      Math.sqrt(m.covariance[3]).toFixed(4),
      "res",
      m.residual.toFixed(2),
      "| refine",
      r.state,
      r.dx.toFixed(3),
      r.dy.toFixed(3),
    );
  }
}
const arm = (reach: readonly number[]): Layer => ({
  id: "arm-right",
  outline: capsule([260, -40], [260, 190], 60),
  ...surfaceOf("woven", 77, 0.2),
  motion: (at) => ({ dx: 140 - 260 + 60 - (reach[at - 1] ?? 0) }),
});
test("t", { timeout: 1e6 }, () => {
  const steps = [
    [0.37, -0.62],
    [-0.5, 0.25],
    [0.12, 0.88],
    [-1.4, -2.3],
    [-1, -1.5],
    [-1.4, 0],
    [0, -2.3],
    [2, 0],
    [0, 2],
    [3, 0],
    [0, 3],
    [4, 4],
  ];
  go("steps", { motion: (at) => ({ dx: steps[at - 2]?.[0] ?? 0, dy: steps[at - 2]?.[1] ?? 0 }) }, steps.length + 1);
  for (const texture of ["skin", "herringbone", "plaster"] as const)
    go(
      "steps " + texture,
      { texture, noise: 1, motion: (at) => ({ dx: steps[at - 2]?.[0] ?? 0, dy: steps[at - 2]?.[1] ?? 0 }) },
      steps.length + 1,
    );
  go(
    "arm",
    { noise: 1, inFront: [arm([-40, 12, 20, 28, 40, 50, 60, 72])], motion: (f) => (f === 1 ? {} : { dy: 0.3 }) },
    8,
  );
  for (const texture of ["woven", "skin"] as const)
    go(
      "jump " + texture,
      {
        texture,
        width: 260,
        height: 190,
        noise: 1,
        motion: (f) => (f === 1 ? {} : { dx: (30.4 * (f - 1)) / 5, dy: (-12.3 * (f - 1)) / 5 }),
      },
      6,
    );
});
