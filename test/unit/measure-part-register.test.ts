import { expect, test } from "vitest";
import { bestTemplate } from "../../src/measure/choose-prefilter.ts";
import { type PartMotion, WEAK_SIGMA } from "../../src/measure/part-motion.ts";
import { PartRegistrar } from "../../src/measure/part-register.ts";
import { capsule, type Layer } from "../support/scene.ts";
import { surfaceOf } from "../support/shot.ts";
import type { Motion, Point } from "../support/similarity.ts";
import { displacementOf } from "../support/truth.ts";
import { chosenFor, type PartOptions, partScene, preparedOf, rms } from "./measure-pictures.ts";

const registrar = new PartRegistrar();

/** Motions of the part in frames 2 and on against frame 1. */
function registered(options: PartOptions, frames: number, seed: Point = [0, 0]): PartMotion[] {
  const part = partScene(options);
  const prepared = preparedOf(part.scene);
  const chosen = chosenFor(part);
  return Array.from({ length: frames - 1 }, (_, i) => registrar.register(chosen, prepared(i + 2), ...seed));
}

const once =
  (motion: Motion) =>
  (frame: number): Motion =>
    frame === 1 ? {} : motion;

test("a part is found again to five thousandths of a pixel at any phase: current minus anchor, x right, y down", () => {
  const steps = [
    [0.37, -0.62],
    [-0.5, 0.25],
    [0.12, 0.88],
    [-1.4, -2.3],
  ];
  const found = registered({ motion: (at) => ({ dx: steps[at - 2]?.[0] ?? 0, dy: steps[at - 2]?.[1] ?? 0 }) }, 5);
  found.forEach((motion, i) => {
    expect(motion.state).toBe("ok");
    expect(Math.abs(motion.dx - steps[i][0])).toBeLessThan(0.005);
    expect(Math.abs(motion.dy - steps[i][1])).toBeLessThan(0.005);
    expect(Math.abs(motion.turn)).toBeLessThan(1e-4);
    expect(motion.trusted).toBeGreaterThan(0.95);
  });
});

test("a turn from x towards y is positive, and the shift is told at the centroid", () => {
  const turn = 0.02;
  const pivot: Point = [60, 75];
  const options: PartOptions = { motion: once({ turn, pivot }) };
  const { scene, centroid } = partScene(options);
  const [found] = registered(options, 2);
  const [dx, dy] = displacementOf(scene, "held", centroid, 2);
  // The centroid lies right of the pivot: it goes down.
  expect(dy).toBeGreaterThan(0.5);
  expect(Math.abs(found.dx - dx)).toBeLessThan(0.006);
  expect(Math.abs(found.dy - dy)).toBeLessThan(0.006);
  expect(Math.abs(found.turn - turn)).toBeLessThan(2e-4);
});

test("in noise the error is a few of its sigmas and no more, in shift and in turn", () => {
  const found = registered({ noise: 1, motion: once({ dx: 0.4, dy: 0.3, turn: 0.004, pivot: [100.3, 74.8] }) }, 5);
  for (const motion of found) {
    const [xx, , , yy, , tt] = motion.covariance;
    expect(Math.abs(motion.dx - 0.4)).toBeLessThan(4 * Math.sqrt(xx));
    expect(Math.abs(motion.dy - 0.3)).toBeLessThan(4 * Math.sqrt(yy));
    expect(Math.abs(motion.turn - 0.004)).toBeLessThan(4 * Math.sqrt(tt));
    expect(Math.sqrt(xx)).toBeLessThan(0.02);
  }
});

test.each(["woven", "skin"] as const)(
  "on %s the z-scores of independent pairs of frames scatter by about one",
  (texture) => {
    const { scene, outline, centroid } = partScene({ size: 60, width: 130, height: 100, texture, noise: 1 });
    const prepared = preparedOf(scene);
    const scores: number[] = [];
    for (let pair = 0; pair < 40; pair++) {
      const chosen = bestTemplate(prepared(2 * pair + 1), [], outline, [], centroid, 1)!;
      const { dx, dy, turn, covariance } = registrar.register(chosen, prepared(2 * pair + 2));
      scores.push(dx / Math.sqrt(covariance[0]), dy / Math.sqrt(covariance[3]), turn / Math.sqrt(covariance[5]));
    }
    // 120 scores tell their scatter to 7 %.
    expect(rms(scores)).toBeGreaterThan(0.8);
    expect(rms(scores)).toBeLessThan(1.2);
  },
);

test("a lamp that flickers by half a stop moves nothing", () => {
  const gains = [1, 0.7, 1.35, 0.9];
  const found = registered({ light: (at) => ({ gain: gains[at - 1] }) }, 4);
  for (const motion of found) {
    expect(motion.state).toBe("ok");
    expect(Math.hypot(motion.dx, motion.dy)).toBeLessThan(0.003);
  }
});

test("the edge of a moving shadow costs tiles and not truth", () => {
  const found = registered(
    {
      noise: 1,
      light: (at) => ({
        shadow: {
          across: [Math.cos(0.3), Math.sin(0.3)],
          edge: at === 1 ? -100 : 60 + 20 * at,
          softness: 25,
          depth: 0.4,
        },
      }),
      motion: once({ dx: 0.2 }),
    },
    5,
  );
  for (const motion of found) {
    expect(motion.state).toBe("ok");
    expect(Math.hypot(motion.dx - 0.2, motion.dy)).toBeLessThan(0.06);
  }
});

/** An arm that comes from the right and reaches `reach` px past the part's right edge in each frame. */
const arm = (reach: readonly number[]): Layer => ({
  id: "arm-right",
  outline: capsule([260, -40], [260, 190], 60),
  ...surfaceOf("woven", 77, 0.2),
  motion: (at) => ({ dx: 140 - 260 + 60 - (reach[at - 1] ?? 0) }),
});

test("an arm that covers a third of the part does not carry it along", () => {
  const found = registered({ noise: 1, inFront: [arm([-40, 12, 20, 28])], motion: once({ dy: 0.3 }) }, 4);
  for (const motion of found) {
    expect(motion.state).toBe("ok");
    expect(Math.hypot(motion.dx, motion.dy - 0.3)).toBeLessThan(0.08);
  }
  expect(found[2].trusted).toBeLessThan(found[0].trusted);
});

test("a part that is nearly all covered is hidden or lost, without a number and with a reason", () => {
  const [found] = registered({ noise: 1, inFront: [arm([-40, 72])] }, 2);
  expect(["hidden", "lost"]).toContain(found.state);
  expect(found.reason).not.toBe("");
  expect([found.dx, found.dy, found.turn, ...found.covariance]).toEqual(Array<number>(9).fill(Number.NaN));
});

test("a jump of 33 px is followed", () => {
  const options: PartOptions = { width: 260, height: 190, noise: 1, motion: once({ dx: 30.4, dy: -12.3 }) };
  const [found] = registered(options, 2);
  expect(found.state).toBe("ok");
  expect(Math.hypot(found.dx - 30.4, found.dy + 12.3)).toBeLessThan(0.02);
});

test("where the camera went far the seed leads to the part", () => {
  const options: PartOptions = { width: 320, height: 190, noise: 1, motion: once({ dx: 62.5 }) };
  const [found] = registered(options, 2, [60, 0]);
  expect(found.state).toBe("ok");
  expect(Math.abs(found.dx - 62.5)).toBeLessThan(0.02);
});

test("a part that is half out of the picture is measured on the other half; one that has left it is hidden", () => {
  const out = (dx: number): PartMotion =>
    registered({ noise: 1, width: 150, height: 110, size: 60, centre: [108, 55], motion: once({ dx }) }, 2, [dx, 0])[0];
  const half = out(40.3);
  expect(half.state).toBe("ok");
  expect(Math.hypot(half.dx - 40.3, half.dy)).toBeLessThan(0.04);
  const gone = out(64);
  expect(gone.state).toBe("hidden");
  expect(gone.reason).toContain("left the picture");
  expect(gone.dx).toBeNaN();
});

test("a part cut by the picture's border at its anchor is measured on what is in it", () => {
  const found = registered(
    { noise: 1, width: 150, height: 110, size: 60, centre: [135, 55], motion: once({ dx: -0.6, dy: 0.4 }) },
    3,
  );
  for (const motion of found) {
    expect(motion.state).toBe("ok");
    expect(Math.hypot(motion.dx + 0.6, motion.dy - 0.4)).toBeLessThan(0.04);
  }
});

test("stripes are measured across and not along, and the part says so", () => {
  const found = registered({ texture: "stripes", size: 90, noise: 1, motion: once({ dx: 0.3 }) }, 4);
  for (const motion of found) {
    expect(motion.state).toBe("weak");
    expect(motion.reason).toBe("texture in one direction only");
    expect(Math.abs(motion.dx - 0.3)).toBeLessThan(0.02);
    expect(Math.sqrt(motion.covariance[0])).toBeLessThan(0.02);
    expect(Math.sqrt(motion.covariance[3])).toBeGreaterThan(WEAK_SIGMA);
    expect(Math.abs(motion.dy)).toBeLessThan(4 * Math.sqrt(motion.covariance[3]));
  }
});

test("near-bare silicone says that it is weak, and its sigma covers its error", () => {
  const found = registered({ texture: "silicone", contrast: 0.008, size: 90, noise: 2 }, 10);
  for (const motion of found) {
    expect(motion.state).toBe("weak");
    expect(motion.reason).not.toBe("");
    if (!Number.isNaN(motion.dx)) {
      expect(Math.abs(motion.dx)).toBeLessThan(4 * Math.sqrt(motion.covariance[0]));
      expect(Math.abs(motion.dy)).toBeLessThan(4 * Math.sqrt(motion.covariance[3]));
    }
  }
});

test("a part that was taken away is not found again", () => {
  const part = partScene({ noise: 1, background: "wood" });
  const bare = preparedOf({ ...part.scene, layers: [] })(2);
  const found = registrar.register(chosenFor(part), bare);
  expect(["lost", "hidden"]).toContain(found.state);
  expect(found.dx).toBeNaN();
  expect(found.reason).not.toBe("");
});

test("a registrar keeps nothing from one part to the next", () => {
  const large = partScene({ size: 90, noise: 1 });
  const small = partScene({ size: 30, noise: 1, motion: once({ dx: 0.5 }) });
  const frame = preparedOf(small.scene)(2);
  const chosen = chosenFor(small);
  const fresh = new PartRegistrar().register(chosen, frame);
  const used = new PartRegistrar();
  used.register(chosenFor(large), frame);
  expect(used.register(chosen, frame)).toEqual(fresh);
});

test.each(["herringbone", "woven", "stripes"] as const)(
  "%s that moved by any part of its thread's period is never told wrong and sure",
  (texture) => {
    const shifts = [1.5, 2.5, 4, 5.5, 6.5, 7.5, 11].flatMap((step): Point[] => [
      [step, 0],
      [0.6 * step, 0.8 * step],
    ]);
    const options: PartOptions = {
      texture,
      noise: 1,
      motion: (at) => ({ dx: shifts[at - 2]?.[0] ?? 0, dy: shifts[at - 2]?.[1] ?? 0 }),
    };
    const wrong = registered(options, shifts.length + 1).flatMap((found, i) => {
      const far = Math.hypot(found.dx - shifts[i][0], found.dy - shifts[i][1]) > 0.1;
      return found.state === "ok" && far ? [`${shifts[i].join(", ")} was told as ${found.dx}, ${found.dy}`] : [];
    });
    expect(wrong).toEqual([]);
  },
);

test.each(["herringbone", "woven", "skin"] as const)("a knock of one to nine px on %s is found", (texture) => {
  const shifts = [1, 2, 3, 4.5, 6, 9].map((step): Point => [0.8 * step + 0.2, -0.6 * step]);
  const options: PartOptions = {
    texture,
    noise: 1,
    motion: (at) => ({ dx: shifts[at - 2]?.[0] ?? 0, dy: shifts[at - 2]?.[1] ?? 0 }),
  };
  const missed = registered(options, shifts.length + 1).flatMap((found, i) =>
    Math.hypot(found.dx - shifts[i][0], found.dy - shifts[i][1]) < 0.1
      ? []
      : [`${shifts[i].join(", ")}: ${found.state} ${found.reason} ${found.dx}, ${found.dy}`],
  );
  expect(missed).toEqual([]);
});
