import { expect, test } from "vitest";
import { pivotOf, pooledMotion, slippedJoint } from "../../src/analysis/joint.ts";
import {
  displacementAt,
  type MovedSurface,
  type Point,
  type RigidMotion,
} from "../../src/analysis/kinds/evidence/rigid.ts";
import { createRandom, type Random } from "../support/random.ts";
import { box } from "./judge-series.ts";

const outline = box(600, 290, 700, 320);
const shoulder = { id: "shoulder", name: "Left shoulder", at: [600, 305] as const };
const elbow = { id: "elbow", name: "Left elbow", at: [700, 305] as const };
const neck = { id: "neck", name: "Neck", at: [560, 240] as const };

/** The motion of a turn about a pivot as told at the outline's centroid, with noise of the given sigma. */
function turned(pivot: Point, turn: number, sigma = 0, random?: Random, centre: Point = [650, 305]): RigidMotion {
  const about: RigidMotion = { dx: 0, dy: 0, turn, covariance: new Float64Array(9), centre: pivot };
  const [dx, dy] = displacementAt(about, centre);
  const sigmaTurn = Math.max(sigma, 1e-4) / 40;
  const noise = (size: number) => (random === undefined ? 0 : size * random.normal());
  const variance = Math.max(sigma, 1e-4) ** 2;
  return {
    dx: dx + noise(sigma),
    dy: dy + noise(sigma),
    turn: turn + noise(sigma / 40),
    covariance: Float64Array.of(variance, 0, 0, 0, variance, 0, 0, 0, sigmaTurn ** 2),
    centre,
  };
}

const surface = (motion: RigidMotion, ring = outline): MovedSurface => ({ outline: ring, motion });

test("the pivot of a turn is its fixed point, however large the turn", () => {
  for (const turn of [1e-4, -0.01, 0.3, 2]) {
    const pivot = pivotOf(turned([612, 299], turn));
    expect(pivot?.[0]).toBeCloseTo(612, 6);
    expect(pivot?.[1]).toBeCloseTo(299, 6);
  }
  expect(pivotOf(turned([0, 0], 0))).toBeNull();
});

test("the arm turned about its shoulder, not its elbow", () => {
  const answer = slippedJoint([surface(turned([602, 302], 0.01))], [elbow, shoulder]);
  expect(answer.joint?.id).toBe("shoulder");
  expect(answer.alternatives).toEqual([]);
  expect(answer.reason).toBe("");
  // The limb counts as rigid to a hundredth of its drift, about 1 px of its fixed point; the joint's place has 2 px.
  const drawn = 602 - (answer.pivot?.[0] ?? 0);
  expect(drawn).toBeGreaterThan(0);
  expect(drawn).toBeLessThan(1);
});

test("a pivot that is told badly is drawn towards the joint that a person marked, one that is told well is not", () => {
  const random = createRandom(11, 0x7069);
  const off = { well: 0, badly: 0, alone: 0 };
  const rounds = 200;
  for (let i = 0; i < rounds; i++) {
    const marked = { ...shoulder, at: [600 + 2 * random.normal(), 305 + 2 * random.normal()] as const };
    for (const [name, sigma] of [
      ["well", 0.003],
      ["badly", 0.1],
    ] as const) {
      const motion = turned([600, 305], 0.02, sigma, random);
      const { joint, pivot } = slippedJoint([surface(motion)], [marked]);
      if (joint === null) continue;
      const away = ([x, y]: Point) => Math.hypot(x - 600, y - 305) ** 2 / rounds;
      off[name] += away(pivot ?? [0, 0]);
      if (name === "badly") off.alone += away(pivotOf(motion) ?? [0, 0]);
    }
  }
  // The fixed point alone by first-order propagation: 0.1 px over a turn of 0.02, and 50 px times the turn's share of error.
  expect(Math.sqrt(off.alone)).toBeGreaterThan(7);
  expect(Math.sqrt(off.badly)).toBeLessThan(2 * Math.SQRT2 + 0.2);
  expect(Math.sqrt(off.well)).toBeLessThan(1);
});

test("a joint placed 5 px off is still named, one 20 px off is not", () => {
  const motion = [surface(turned([600, 305], 0.01))];
  const placed = (dx: number, dy: number) => slippedJoint(motion, [{ ...shoulder, at: [600 + dx, 305 + dy] }]).joint;
  expect(placed(-4, 3)?.id).toBe("shoulder");
  expect(placed(-12, 16)).toBeNull();
});

test("two joints side by side that both fit are both told, the better one first", () => {
  const collar = { id: "collar", name: "Left collar bone", at: [594, 303] as const };
  const answer = slippedJoint([surface(turned([599.5, 305], 0.01))], [collar, shoulder]);
  expect(answer.joint?.id).toBe("shoulder");
  expect(answer.alternatives.map(({ id }) => id)).toEqual(["collar"]);
});

test("a nod out of the picture, whose pivot lies far off, names no joint", () => {
  const answer = slippedJoint([surface(turned([655, 900], 0.002))], [shoulder, elbow, neck]);
  expect(answer.joint).toBeNull();
  expect(answer.reason).toContain("px from the nearest joint");
  expect(answer.pivot?.[1]).toBeCloseTo(900, 0);
});

test("a part that slid without turning has no pivot", () => {
  const slid: RigidMotion = { ...turned([0, 0], 0, 0.01), dx: 0.5, dy: 0.8, turn: 1e-5 };
  const answer = slippedJoint([surface(slid)], [shoulder]);
  expect([answer.joint, answer.pivot, answer.region]).toEqual([null, null, null]);
  expect(answer.reason).toContain("slid");
});

test("a slide is named as one, with its size and its way", () => {
  const slid: RigidMotion = { ...turned([0, 0], 0, 0.01), dx: 0.5, dy: 0.8, turn: 1e-5 };
  expect(slippedJoint([surface(slid)], [shoulder]).reason).toBe(
    "it slid 0.94 ± 0.01 px down and to the right, and did not turn",
  );
  // Noise that could hide a turn as large as the drift is no slide.
  const blurred: RigidMotion = { ...turned([0, 0], 0, 0.4), dx: 0.5, dy: 0.8, turn: 1e-5 };
  expect(slippedJoint([surface(blurred)], [shoulder]).reason).toBe("its turn is lost in its noise");
});

test("of a limb that points into the picture by more than 30 degrees no joint is told", () => {
  const motion = [surface(turned([602, 302], 0.01))];
  expect(slippedJoint(motion, [shoulder], 25).joint?.id).toBe("shoulder");
  const answer = slippedJoint(motion, [shoulder], 40);
  expect([answer.joint, answer.pivot, answer.region]).toEqual([null, null, null]);
  expect(answer.reason).toContain("points into the picture");
  expect(answer.reason).toContain("40 degrees");
});

/** The picture of a limb that points into it by `degrees` and sags about the shoulder: a shear, as rigid as it can be told. */
function foreshortened(degrees: number): RigidMotion {
  const slant = Math.cos((degrees * Math.PI) / 180);
  const points = outline.flatMap(([x, y]) => [0.2, 0.5, 0.8].map((t) => [650 + t * (x - 650), y] as const));
  const fall = (x: number) => (0.01 * (x - 600)) / slant;
  const mean = points.reduce((sum, [x]) => sum + fall(x), 0) / points.length;
  const cross = points.reduce((sum, [x]) => sum + fall(x) * (x - 650), 0);
  const square = points.reduce((sum, [x, y]) => sum + (x - 650) ** 2 + (y - 305) ** 2, 0);
  return { ...turned([0, 0], 0), dx: 0, dy: mean, turn: cross / square, centre: [650, 305] };
}

test("a limb that points into the picture by 20 degrees still names its shoulder", () => {
  expect(slippedJoint([surface(foreshortened(20))], [shoulder, elbow, neck], 20).joint?.id).toBe("shoulder");
});

test("without a turn or without joints there is a reason and no joint", () => {
  const blind: RigidMotion = {
    ...turned([600, 305], 0.01),
    covariance: Float64Array.of(1e-4, 0, 0, 0, 1e-4, 0, 0, 0, 0),
  };
  expect(slippedJoint([surface(blind)], [shoulder]).reason).toBe("its turn could not be measured");
  const answer = slippedJoint([surface(turned([600, 305], 0.01))], []);
  expect(answer.joint).toBeNull();
  expect(answer.pivot).not.toBeNull();
  expect(answer.reason).toContain("no joint is marked");
});

/** Even-odd test of a point in a polygon. */
function inside(ring: readonly Point[], [x, y]: Point): boolean {
  let odd = false;
  ring.forEach(([x1, y1], i) => {
    const [x0, y0] = ring[(i + ring.length - 1) % ring.length];
    if (y0 <= y !== y1 <= y && x < x0 + ((y - y0) / (y1 - y0)) * (x1 - x0)) odd = !odd;
  });
  return odd;
}

test("the Fieller region holds the true pivot at its rate of 95 %", () => {
  let held = 0;
  let told = 0;
  for (let seed = 0; seed < 400; seed++) {
    const motion = turned([600, 305], 0.008, 0.04, createRandom(3, seed));
    const { region } = slippedJoint([surface(motion)], [shoulder]);
    if (region === null) continue;
    told++;
    if (inside(region, [600, 305])) held++;
  }
  expect(told).toBeGreaterThan(380);
  // Binomial(400, 0.95): 380 +- 4.4.
  expect(held / told).toBeGreaterThan(0.92);
  expect(held / told).toBeLessThan(0.985);
});

test("a turn that is barely known has a region with no end, or a lopsided one", () => {
  const faint = slippedJoint([surface(turned([600, 305], 0.004, 0.15))], [shoulder]);
  expect(faint.region).toBeNull();
  const { region, pivot } = slippedJoint([surface(turned([600, 305], 0.008, 0.08))], [shoulder]);
  const xs = region?.map(([x]) => x) ?? [];
  // Farther out on the side away from the part.
  expect((pivot?.[0] ?? 0) - Math.min(...xs)).toBeGreaterThan(1.3 * (Math.max(...xs) - (pivot?.[0] ?? 0)));
});

test("a forearm and a hand that were carried along make the pivot better known", () => {
  const hand = box(790, 290, 830, 320);
  const errors = { alone: 0, together: 0 };
  for (let seed = 0; seed < 100; seed++) {
    const random = createRandom(5, seed);
    const own = surface(turned([600, 305], 0.006, 0.02, random));
    const carried = surface(turned([600, 305], 0.006, 0.02, random, [810, 305]), hand);
    for (const [name, surfaces] of [
      ["alone", [own]],
      ["together", [own, carried]],
    ] as const) {
      const motion = pooledMotion(surfaces);
      const pivot = motion === null ? null : pivotOf(motion);
      errors[name] += Math.hypot((pivot?.[0] ?? 1e9) - 600, (pivot?.[1] ?? 1e9) - 305) / 100;
    }
  }
  expect(errors.together).toBeLessThan(0.75 * errors.alone);
});
