import { expect, test } from "vitest";
import { erodeMask, polygonMask } from "../../src/measure/mask.ts";
import type { Plane } from "../../src/measure/plane.ts";
import { putDrift } from "../../src/measure/put-drift.ts";
import type { PartProof, Proof } from "../../src/model/index.ts";
import { checkShot, proveShot } from "../support/check-shot.ts";
import { renderShot } from "../support/render.ts";
import type { Shot } from "../support/shot.ts";
import { armSag, cleanShot, heldPart, turnFor } from "../support/shots.ts";
import { inShort, pictures } from "./check-rendered.ts";

// Known drifts put into the frames of rendered shots, in memory, by the judge and the measurers that check shots.

const proofOf = async (shot: Shot, part: string | null = null): Promise<Proof> =>
  proveShot({ name: shot.scene.name, frames: await pictures(shot), sheet: shot.sheet }, part);

const only = ({ parts, notProved }: Proof): PartProof => {
  expect(notProved).toEqual([]);
  expect(parts).toHaveLength(1);
  return parts[0];
};

const outlineOf = (shot: Shot): readonly (readonly [number, number])[] =>
  (shot.sheet["parts"] as { outlines: { points: [number, number][] }[] }[])[0].outlines[0].points;

test.each(["slide", "turn"] as const)(
  "a drift put into a picture by a %s is what the scene itself would show",
  (about) => {
    const options = { seed: 21, size: 110, frames: 2, noise: 0, jpeg: null, bits: 16, blur: 0.9, about } as const;
    const drift = 0.7;
    const still = renderShot(heldPart(options).scene, 2).planes[1];
    const truth = renderShot(heldPart({ ...options, drift: (frame) => (frame < 2 ? 0 : drift) }).scene, 2).planes[1];
    const outline = outlineOf(heldPart(options));
    const xs = outline.map(([x]) => x);
    const ys = outline.map(([, y]) => y);
    const pivot: [number, number] = [Math.min(...xs), (Math.min(...ys) + Math.max(...ys)) / 2];
    const radius = Math.max(...outline.map(([x, y]) => Math.hypot(x - pivot[0], y - pivot[1])));
    const into: Plane = { ...still, data: Float32Array.from(still.data) };
    putDrift(
      still,
      into,
      outline,
      [],
      about === "turn"
        ? { dx: 0, dy: 0, turn: turnFor(drift, radius), pivot }
        : { dx: 0, dy: drift, turn: 0, pivot: [0, 0] },
    );
    const mask = erodeMask(polygonMask(outline, [], still.width, still.height), 4);
    let [n, wrong, unmoved, sum, square] = [0, 0, 0, 0, 0];
    mask.data.forEach((member, i) => {
      if (member === 0) return;
      const at = (mask.top + Math.floor(i / mask.width)) * still.width + mask.left + (i % mask.width);
      n++;
      wrong += (into.data[at] - truth.data[at]) ** 2;
      unmoved += (still.data[at] - truth.data[at]) ** 2;
      sum += truth.data[at];
      square += truth.data[at] ** 2;
    });
    const contrast = Math.sqrt(square / n - (sum / n) ** 2);
    expect(Math.sqrt(wrong / n)).toBeLessThan(0.02 * contrast);
    expect(Math.sqrt(unmoved / n)).toBeGreaterThan(20 * Math.sqrt(wrong / n));
  },
);

const still = heldPart({ seed: 31, size: 100, frames: 16 });
const stillFrames = pictures(still);
const stillProof = stillFrames.then((frames) => proveShot({ name: "hive_010", frames, sheet: still.sheet }));

test("a sag put into a still arm comes back about its joint, and the smallest one shown is told", async () => {
  const proof = only(await stillProof);
  expect(proof.put).toMatchObject({ px: 1, joint: "shoulder-left" });
  expect([proof.anchor, proof.from, proof.to]).toEqual([1, 5, 16]);
  expect(proof.cameBack.proved).toBe(true);
  expect(Math.abs(proof.cameBack.px - 1)).toBeLessThan(0.02);
  expect(proof.cameBack.rmsPx).toBeLessThan(0.02);
  expect(proof.flag).toMatchObject({ kind: "sag", rightKind: true, joint: "shoulder-left", rightJoint: true });
  expect(Math.abs((proof.flag?.from ?? 0) - 5)).toBeLessThanOrEqual(1);
  expect(proof.ownDriftTakenOff).toBe(false);
  expect(proof.frames.map(({ frame }) => frame)).toEqual([5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16]);
  expect(proof.frames[5].putPx).toBeCloseTo(0.5, 6);
  expect(proof.smallest?.px).toBeLessThan(0.1);
  expect(proof.message).toMatch(
    /^Into the left arm a sag of 1\.00 px was put, frame 5 to 16; it came back as \d\.\d+ ± 0\.\d+ px, flagged as a sag about the left shoulder\. The smallest one that this shot can show on it is 0\.\d+ ± 0\.\d+ px\.$/,
  );
});

test("what comes back is what a check of frames with that drift in them measures", async () => {
  const proof = only(await stillProof);
  const outline = outlineOf(still);
  const xs = outline.map(([x]) => x);
  const ys = outline.map(([, y]) => y);
  const pivot: [number, number] = [Math.min(...xs), (Math.min(...ys) + Math.max(...ys)) / 2];
  const radius = Math.hypot(proof.put.at[0] - pivot[0], proof.put.at[1] - pivot[1]);
  const sense = Math.sign(proof.put.turn);
  const frames = await stillFrames;
  const injected = new Map(
    [...frames].map(([frame, plane]) => {
      const into: Plane = { ...plane, data: Float32Array.from(plane.data) };
      const turn = sense * turnFor(Math.max(0, (frame - 4) / 12), radius);
      putDrift(plane, into, outline, [], { dx: 0, dy: 0, turn, pivot });
      return [frame, into] as const;
    }),
  );
  const sheet = { name: still.scene.name, sheet: still.sheet };
  const [plain, checked] = [await checkShot({ ...sheet, frames }), await checkShot({ ...sheet, frames: injected })];
  expect(inShort(checked)).toEqual([`sag held ${proof.flag?.from}-16`]);
  expect(checked.flags[0].px).toBeCloseTo(proof.flag?.px ?? Number.NaN, 3);
  const [cx, cy] = [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
  for (const { frame, measuredPx } of proof.frames) {
    const move = (report: typeof plain): [number, number] => {
      const row = report.tracks.find((track) => track.frame === frame);
      const turn = row?.turn ?? Number.NaN;
      const [u, v] = [proof.put.at[0] - cx, proof.put.at[1] - cy];
      return [
        (row?.dx ?? Number.NaN) + (Math.cos(turn) - 1) * u - Math.sin(turn) * v,
        (row?.dy ?? Number.NaN) + Math.sin(turn) * u + (Math.cos(turn) - 1) * v,
      ];
    };
    const [a, b] = [move(checked), move(plain)];
    const along = (a[0] - b[0]) * proof.put.direction[0] + (a[1] - b[1]) * proof.put.direction[1];
    expect(along, `frame ${frame}`).toBeCloseTo(measuredPx ?? Number.NaN, 3);
  }
});

test("a sag of twice the smallest one told is found in another take of the shot, one of a third of it is not", async () => {
  const { smallest } = only(await stillProof);
  const told = smallest?.px ?? Number.NaN;
  const sagging = async (px: number, seed: number): Promise<string[]> => {
    const drift = (frame: number): number => (px * Math.max(0, frame - 4)) / 12;
    const shot = heldPart({ seed, size: 100, frames: 16, about: "turn", drift });
    const frames = await pictures(shot);
    return inShort(await checkShot({ name: "hive_010", frames, sheet: shot.sheet }, { bandPx: 0 }));
  };
  expect(await sagging(2 * told, 32)).toEqual([expect.stringMatching(/^sag held /)]);
  expect(await sagging(told / 3, 33)).toEqual([]);
});

test("where an arm sags by itself that is taken off, and every part is judged by itself", async () => {
  const shot = armSag({ seed: 7, frames: 16, animated: true });
  const sagging = shot.expected[0].part;
  const proof = await proofOf(shot);
  const arm = proof.parts.find(({ part }) => part === sagging);
  expect(proof.parts.length).toBeGreaterThan(1);
  expect(proof.parts.filter(({ ownDriftTakenOff }) => ownDriftTakenOff).length).toBeGreaterThan(1);
  expect(arm?.message).toContain("What it drifted by itself was taken off first.");
  for (const { message, cameBack, flag } of proof.parts) {
    expect(cameBack.proved, message).toBe(true);
    expect(flag?.rightKind, message).toBe(true);
  }
  expect(proof.notProved.every(({ reason }) => reason !== "")).toBe(true);
});

test("a bare part, a short hold and one that moves say why nothing is proved on them", async () => {
  const shot = cleanShot({ seed: 9, width: 320, height: 240, frames: 10, parts: 4 });
  const sheet = structuredClone(shot.sheet) as unknown as {
    parts: { outlines: { points: number[][] }[]; intents: { from: number; to: number; intent: string }[] }[];
  };
  sheet.parts[0].intents = [{ from: 1, to: 10, intent: "moves" }];
  sheet.parts[1].intents = [
    { from: 1, to: 6, intent: "holds" },
    { from: 7, to: 10, intent: "moves" },
  ];
  sheet.parts[2].outlines[0].points = [
    [200, 200],
    [203, 200],
    [203, 203],
  ];
  const proof = await proveShot({ name: "hive_010", frames: await pictures(shot), sheet });
  expect(proof.notProved).toEqual([
    { part: "still-1", name: "Jar 1", reason: "it is never held" },
    { part: "still-2", name: "Jar 2", reason: "it is held for 6 frames at most, and a slow drift takes 8" },
    { part: "still-3", name: "Jar 3", reason: "too small in the picture to be measured" },
  ]);
  expect(proof.parts.map(({ part, flag }) => [part, flag?.kind])).toEqual([["still-4", "set-shift"]]);
});

test("any number of workers proves the same", async () => {
  const shot = { name: still.scene.name, frames: await stillFrames, sheet: still.sheet };
  const [one, three] = [await proveShot(shot), await proveShot(shot, "held", { workers: 3 })];
  expect(three).toEqual(one);
});

test("a part that isn't on the sheet is refused by name, and so is a shot in which no part is known", async () => {
  const frames = await stillFrames;
  const { sheet } = still;
  await expect(proveShot({ name: "hive_010", frames, sheet }, "smoker")).rejects.toThrow(
    'nothing-to-check: there is no part "smoker" in hive_010; there are: held',
  );
  await expect(proveShot({ name: "hive_010", frames, sheet: null })).rejects.toThrow(
    "nothing-to-check: hive_010: no part is known to put a drift into",
  );
});
