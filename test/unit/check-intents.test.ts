import { expect, test } from "vitest";
import type { Report } from "../../src/model/index.ts";
import { checkShot } from "../support/check-shot.ts";
import { capsule, type Layer, roundedBox, type SceneIntent } from "../support/scene.ts";
import { type Shot, shotOf, surfaceOf } from "../support/shot.ts";
import type { SheetFile } from "../support/sheet.ts";
import type { Motion } from "../support/similarity.ts";
import { displacementOf, turnOf } from "../support/truth.ts";
import { inShort, pictures, tracksOf } from "./check-rendered.ts";

// Whole checks of what the sheet says, and of what it leaves to the pictures.

const [width, height] = [320, 240];

interface ArmOptions {
  readonly frames: number;
  readonly motion: (frame: number) => Motion;
  readonly intents?: readonly SceneIntent[];
}

const armOf = ({ motion, intents }: ArmOptions): Layer => ({
  id: "arm-left",
  outline: roundedBox([130.3, 118.8], 90, 84),
  ...surfaceOf("woven", 12, 0.3),
  motion,
  part: { name: "Left arm", kind: "limb", ...(intents === undefined ? {} : { intents }) },
});

const shotWith = (frames: number, ...layers: readonly Layer[]): Shot =>
  shotOf({ width, height, frames, jpeg: null, background: "speckle" }, layers, () => []);

/** The sheet without the intents of its parts: nobody said. */
const unsaid = (sheet: SheetFile): SheetFile => ({
  ...sheet,
  parts: (sheet["parts"] as Record<string, unknown>[]).map((part) =>
    Object.fromEntries(Object.entries(part).filter(([key]) => key !== "intents")),
  ),
});

const check = async (shot: Shot, sheet: SheetFile = shot.sheet): Promise<Report> =>
  checkShot({ name: "hive_010", frames: await pictures(shot), sheet });

/** "frame anchor" of a part's tracks. */
const anchors = (report: Report, part: string): string[] =>
  tracksOf(report, part).map(({ frame, anchor }) => `${frame} ${anchor}`);

/** Moves by 2.5 px a frame from 6 to 9, then holds, and droops by 0.06 px a frame. */
const moveThenDroop = (frame: number): Motion => ({
  dx: 2.5 * Math.min(4, Math.max(0, frame - 5)),
  dy: 0.06 * Math.max(0, frame - 9),
});

test("where nobody said, the pictures show that a part moved, and it is held again from the frame that moved last", async () => {
  const shot = shotWith(22, armOf({ frames: 22, motion: moveThenDroop }));
  const report = await check(shot, unsaid(shot.sheet));
  expect(report.warnings.filter(({ code }) => code !== "no-capture-times")).toEqual([]);
  const told = anchors(report, "arm-left");
  expect(told.slice(0, 4)).toEqual(["2 1", "3 1", "4 1", "5 1"]);
  expect(told.slice(4, 7)).toEqual(["6 5", "7 6", "8 7"]);
  expect(told.slice(-4)).toEqual(["19 9", "20 9", "21 9", "22 9"]);
  expect(inShort(report)).toEqual([expect.stringMatching(/^sag arm-left/)]);
  expect(Math.abs(report.flags[0].px! - 0.78)).toBeLessThan(0.1);
});

test("while a part moves it is told from frame to frame, as it went", async () => {
  const shot = shotWith(
    10,
    armOf({
      frames: 10,
      motion: (frame) => ({ dx: 1.7 * (frame - 1), turn: 0.01 * (frame - 1), pivot: [130, 70] }),
      intents: [{ from: 1, to: 10, intent: "moves" }],
    }),
  );
  const report = await check(shot);
  expect(report.flags.map(({ message }) => message)).toEqual([]);
  const tracks = tracksOf(report, "arm-left");
  expect(tracks.map(({ frame, anchor }) => frame - anchor)).toEqual(Array<number>(9).fill(1));
  for (const track of tracks) {
    const [dx] = displacementOf(shot.scene, "arm-left", [130.3, 118.8], track.frame, { against: track.anchor });
    expect(track.state).toBe("ok");
    expect(Math.abs(track.dx! - dx)).toBeLessThan(0.1);
    expect(Math.abs(track.turn! - turnOf(shot.scene, "arm-left", track.frame, { against: track.anchor }))).toBeLessThan(
      2e-3,
    );
  }
});

test("a part that was re-set at a mark is no knock: a new anchor starts there", async () => {
  const shot = shotWith(16, armOf({ frames: 16, motion: (frame) => ({ dx: frame < 9 ? 0 : 3.3 }) }));
  const mark = { frame: 9, kind: "reset", part: "arm-left", note: "elbow re-tightened" };
  const report = await check(shot, { ...shot.sheet, marks: [mark] });
  expect(report.flags.filter(({ kind }) => kind === "knock").map(({ message }) => message)).toEqual([]);
  expect(anchors(report, "arm-left").slice(-3)).toEqual(["14 9", "15 9", "16 9"]);
  for (const track of tracksOf(report, "arm-left").filter(({ frame }) => frame > 9))
    expect(Math.hypot(track.dx!, track.dy!)).toBeLessThan(0.03);
  // What the re-set did is told against the last good frame.
  expect(report.corrections).toEqual([
    expect.objectContaining({ part: "arm-left", kind: "reset", frame: 9, against: 8 }),
  ]);
  const [reset] = report.corrections!;
  expect(Math.abs(reset.dx! - 3.3)).toBeLessThan(0.05);
  expect(Math.abs(reset.px! - 3.3)).toBeLessThan(0.1);
  expect(reset.message).toMatch(
    /^Left arm was re-set before frame 9 and stands 3\.\d\d ± .* to the right from where it was in frame 8\.$/,
  );
  // Without the mark it is one.
  expect(inShort(await check(shot))).toEqual([expect.stringMatching(/^knock arm-left 9/)]);
});

test("a hidden part has rows without numbers, and is measured again afterwards", async () => {
  const shot = shotWith(
    12,
    armOf({
      frames: 12,
      motion: () => ({}),
      intents: [
        { from: 1, to: 4, intent: "holds" },
        { from: 5, to: 7, intent: "hidden" },
        { from: 8, to: 12, intent: "holds" },
      ],
    }),
  );
  const tracks = tracksOf(await check(shot), "arm-left");
  for (const track of tracks.filter(({ state }) => state === "hidden")) {
    expect([track.dx, track.dy, track.turn, track.sigmaDx]).toEqual([null, null, null, null]);
    expect(track.reason).not.toBe("");
  }
  expect(tracks.filter(({ state }) => state === "hidden").map(({ frame }) => frame)).toEqual([6, 7]);
  expect(tracks.filter(({ frame }) => frame > 8).every(({ state, anchor }) => state === "ok" && anchor === 8)).toBe(
    true,
  );
});

/** A patch of skin that rides on the arm; both turn about the shoulder. */
const riding = (frames: number, motion: (frame: number) => Motion, carrier: SceneIntent["intent"]): Shot => {
  const strap: Layer = {
    id: "strap",
    outline: capsule([120, 100], [150, 140], 26),
    ...surfaceOf("speckle", 13, 0.34),
    motion,
    part: {
      name: "Strap",
      kind: "costume",
      carrier: "arm-left",
      intents: [{ from: 1, to: frames, intent: "rides" }],
    },
  };
  const arm: Layer = {
    ...armOf({ frames, motion, intents: [{ from: 1, to: frames, intent: carrier }] }),
    outline: roundedBox([140.3, 118.8], 150, 130),
  };
  return shotWith(frames, arm, strap);
};

test("what rides on a carrier that is held and sags does not move against it, and is carried in its flag", async () => {
  const shot = riding(14, (frame) => ({ turn: 0.0012 * (frame - 1), pivot: [70, 118] }), "holds");
  const report = await check(shot);
  expect(inShort(report)).toEqual([expect.stringMatching(/^sag arm-left/)]);
  expect(report.flags[0].carries).toEqual(["strap"]);
  for (const track of tracksOf(report, "strap")) {
    expect(Math.hypot(track.dx!, track.dy!)).toBeLessThan(0.05);
    expect(Math.abs(track.turn!)).toBeLessThan(6e-4);
  }
});

test("what rides on a carrier that is animated does not move against it either", async () => {
  const shot = riding(10, (frame) => ({ dx: 2.2 * (frame - 1), dy: 0.7 * (frame - 1) }), "moves");
  const report = await check(shot);
  expect(report.flags.map(({ message }) => message)).toEqual([]);
  const tracks = tracksOf(report, "strap").filter(({ dx }) => dx !== null);
  expect(tracks.length).toBeGreaterThanOrEqual(8);
  for (const track of tracks) expect(Math.hypot(track.dx!, track.dy!)).toBeLessThan(0.15);
});

test("a sheet that puts a part beyond the frames of the shot refuses the check", async () => {
  const shot = shotWith(4, armOf({ frames: 4, motion: () => ({}), intents: [{ from: 1, to: 9, intent: "holds" }] }));
  await expect(check(shot)).rejects.toThrow(/sheet-refused.*arm-left.*9/);
});
