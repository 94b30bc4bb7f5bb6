import { readFile } from "node:fs/promises";
import path from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { redrawn } from "../../src/analysis/redraw/redrawn.ts";
import { readHeader } from "../../src/decode/header.ts";
import type { Pixels } from "../../src/decode/pixels.ts";
import { reduceToLuma } from "../../src/decode/reduce.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { applyPatch } from "../../src/measure/redraw/redraw.ts";
import { parseSheet, type Report, type Sheet } from "../../src/model/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { decodeWithSharp } from "../../workers/node/pixels.ts";
import { checkShot } from "../support/check-shot.ts";

// The sample's arm sags by almost 2 px, as its geometry tells. Held still, or drawn larger, it is measured again by the
// same check as any shot, whose measurement knows nothing of the drawing.

const folder = path.resolve(import.meta.dirname, "../../sample-frames/hive_010");
const frames = [1, 2, 3, 4, 5, 9, 14, 15, 20, 24];

async function pictureOf(frame: number): Promise<Pixels> {
  const file = `hive_010_${String(frame).padStart(4, "0")}.jpg`;
  const bytes = new Uint8Array(await readFile(path.join(folder, file)));
  const header = readHeader(bytes, file);
  if ("problem" in header) throw new Error(header.problem);
  const pixels = await decodeWithSharp(bytes, header, file);
  if ("problem" in pixels) throw new Error(pixels.problem);
  return pixels;
}

const lumaOf = (pixels: Pixels): Plane =>
  reduceToLuma(pixels, pixels.width, createPlane(pixels.width, pixels.height), "luma");

const pictures = new Map<number, Pixels>();
interface Truth {
  readonly parts: readonly {
    readonly id: string;
    readonly frames: readonly { readonly frame: number; readonly dx: number; readonly dy: number }[];
  }[];
}
let truth: Truth;
let sheetText: unknown;
let sheet: Sheet;
let report: Report;

const measured = (planes: ReadonlyMap<number, Plane>) =>
  checkShot({ name: "hive_010", frames: planes, sheet: sheetText });

beforeAll(async () => {
  for (const frame of frames) pictures.set(frame, await pictureOf(frame));
  truth = JSON.parse(await readFile(path.join(folder, "truth.json"), "utf8"));
  const whole = JSON.parse(await readFile(path.join(folder, "holdfast-sheet.json"), "utf8"));
  // Outlines of frames that are left out here are of no use.
  for (const part of whole.parts)
    part.outlines = part.outlines.filter((outline: { frame: number }) => frames.includes(outline.frame));
  sheetText = whole;
  const read = parseSheet(JSON.stringify(whole), "holdfast-sheet.json", {
    frames: frames.map(frameNumber),
    width: null,
    height: null,
  });
  if (!("sheet" in read)) throw new Error(read.refusals.join("\n"));
  sheet = read.sheet;
  report = await measured(new Map(frames.map((frame) => [frame, lumaOf(pictures.get(frame)!)])));
}, 120_000);

async function drawn(frame: number, choice: Parameters<typeof redrawn>[3]): Promise<Pixels> {
  const picture = pictures.get(frame)!;
  const { patch } = await redrawn(report, sheet, frame, choice, picture, (other) =>
    Promise.resolve(pictures.get(other) ?? null),
  );
  const copy = { ...picture, data: picture.data.slice() };
  if (patch !== null) applyPatch(copy, patch);
  return copy;
}

const rowOf = (of: Report, part: string, frame: number) => {
  const row = of.tracks.find((each) => each.part === part && each.frame === frame);
  if (row === undefined || row.dx === null || row.dy === null) throw new Error(`${part} was not measured in ${frame}`);
  return { dx: row.dx as number, dy: row.dy as number };
};

describe("a shot held still", () => {
  test("what sagged, held still and measured again, has less than a tenth of its drift", async () => {
    const choice = { times: 0, parts: ["upper-arm-left", "forearm-left", "hand-left"], camera: null };
    const planes = new Map<number, Plane>();
    for (const frame of frames) planes.set(frame, lumaOf(await drawn(frame, choice)));
    const again = await measured(planes);
    for (const part of choice.parts) {
      const [before, after] = [rowOf(report, part, 24), rowOf(again, part, 24)];
      expect(Math.hypot(before.dx, before.dy)).toBeGreaterThan(0.3);
      expect(Math.hypot(after.dx, after.dy)).toBeLessThan(0.1 * Math.hypot(before.dx, before.dy));
      // What was taken out is what the geometry says, not only what the check said.
      const true24 = truth.parts.find(({ id }) => id === part)!.frames.find((row) => row.frame === 24)!;
      const left = Math.hypot(true24.dx - before.dx + after.dx, true24.dy - before.dy + after.dy);
      expect(left).toBeLessThan(0.1 * Math.hypot(true24.dx, true24.dy));
    }
    // What did not drift is where it was.
    for (const part of ["torso", "jar"]) {
      const [before, after] = [rowOf(report, part, 24), rowOf(again, part, 24)];
      expect(Math.hypot(after.dx - before.dx, after.dy - before.dy)).toBeLessThan(0.01);
    }
    expect(again.flags.filter(({ kind }) => kind !== "camera-shift")).toEqual([]);
  }, 120_000);

  test("a knocked camera that is put back is measured within a hundredth of a pixel of where it was", async () => {
    const planes = new Map<number, Plane>();
    for (const frame of frames) planes.set(frame, lumaOf(await drawn(frame, { times: 0, parts: [], camera: 14 })));
    const again = await measured(planes);
    const camera = (of: Report) => of.frames.find(({ frame }) => frame === 24)!.camera!;
    expect(Math.hypot(camera(report).dx, camera(report).dy)).toBeGreaterThan(0.4);
    expect(Math.hypot(camera(again).dx, camera(again).dy)).toBeLessThan(0.01);
  }, 120_000);
});
