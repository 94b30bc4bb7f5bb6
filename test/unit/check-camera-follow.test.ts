import { expect, test } from "vitest";
import { checkShot } from "../support/check-shot.ts";
import { renderShot } from "../support/render.ts";
import { heldPart } from "../support/shots.ts";

// A picture that goes far from the shot's first frame: measured against the nearest frame that it still shows.

test("a camera that pans 120 px is known to a hundredth of a pixel throughout, and the held part in it stays held", async () => {
  const frames = 13;
  const camera = (frame: number) => ({ dx: -10 * (frame - 1), dy: 1.5 * (frame - 1) });
  const shot = heldPart({ width: 320, height: 220, frames, seed: 5, camera });
  const planes = new Map(renderShot(shot.scene, frames).planes.map((plane, i) => [i + 1, plane]));
  const sheet = { ...shot.sheet, camera: [{ from: 1, to: frames, intent: "moves" }] };
  const report = await checkShot({ name: "x", frames: planes, sheet });
  for (const { frame, camera: told } of report.frames) {
    const { dx, dy } = camera(frame);
    expect(Math.abs((told?.dx ?? Number.NaN) - dx), `frame ${frame}`).toBeLessThan(0.03);
    expect(Math.abs((told?.dy ?? Number.NaN) - dy), `frame ${frame}`).toBeLessThan(0.03);
  }
  const last = report.frames.at(-1)?.camera?.sigma ?? 0;
  expect(last).toBeGreaterThan(report.frames[3].camera?.sigma ?? 0);
  expect(report.tracks.every(({ state, dx }) => state === "ok" && Math.abs(dx ?? 1) < 0.04)).toBe(true);
  expect(report.warnings.map(({ code }) => code)).toContain("reference-taken-again");
  expect(report.warnings.map(({ code }) => code)).not.toContain("camera-unknown");
  expect(report.flags).toEqual([]);
  // The same with two measurers that take turns.
  const other = await checkShot({ name: "x", frames: planes, sheet }, { workers: 2 });
  expect(other.frames).toEqual(report.frames);
  expect(other.tracks).toEqual(report.tracks);
}, 120_000);

test("focus that breathes by a tenth of a percent is told as the picture's scale, and flags no part", async () => {
  const frames = 12;
  const camera = (frame: number) => ({ scale: frame < 7 ? 1 : 1.001 });
  const shot = heldPart({ width: 320, height: 220, frames, seed: 6, camera });
  const planes = new Map(renderShot(shot.scene, frames).planes.map((plane, i) => [i + 1, plane]));
  const report = await checkShot({ name: "x", frames: planes, sheet: shot.sheet });
  for (const { frame, camera: told } of report.frames) {
    expect(Math.abs((told?.scale ?? 0) - camera(frame).scale), `frame ${frame}`).toBeLessThan(0.0002);
  }
  expect(report.flags.map(({ kind }) => kind)).toEqual(["camera-shift"]);
  expect(report.flags[0].message).toMatch(/the picture growing by 0\.\d+ ± 0\.\d+ %\.$/);
}, 120_000);
