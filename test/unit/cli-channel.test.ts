import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { parseReport } from "../../src/model/index.ts";
import { LUMA, decodeSrgb, encodeSrgb } from "../support/srgb.ts";
import { renderShot, type RenderedFrame } from "../support/render.ts";
import { heldPart } from "../support/shots.ts";
import { encodeFrame } from "../support/write.ts";
import { type BuiltCli, buildCli } from "./built-cli.ts";

// Red texture on a grey of the same luma: luma has nothing to hold on to, the red channel has all of it.

let cli: BuiltCli;
let folder: string;
beforeAll(async () => {
  [cli, folder] = await Promise.all([buildCli(), mkdtemp(path.join(os.tmpdir(), "holdfast-channel-"))]);
}, 120_000);
afterAll(async () => {
  await cli.remove();
  await rm(folder, { recursive: true, force: true });
});

/** The grey frame's texture in red against green, its luma the same everywhere. */
function equalLuma(frame: RenderedFrame): RenderedFrame {
  const { width, height } = frame;
  const pixels = new Uint8Array(3 * width * height);
  for (let i = 0; i < width * height; i++) {
    const red = 0.6 * (decodeSrgb(frame.pixels[i] / 65535) - 0.25);
    const light = [0.25 + red, 0.25 - (red * LUMA[0]) / LUMA[1], 0.25];
    light.forEach((value, c) => (pixels[3 * i + c] = Math.round(255 * encodeSrgb(value))));
  }
  return { ...frame, channels: 3, bits: 8, pixels };
}

test("a red texture on grey of the same luma is measured, on the red channel, in every frame", async () => {
  const shot = heldPart({ frames: 8, sagPerFrame: 0.1, noise: 1, bits: 16, jpeg: null, background: "speckle" });
  for (const frame of renderShot(shot.scene, shot.frames).frames)
    await writeFile(
      path.join(folder, `hive_010_000${frame.frame}.png`),
      await encodeFrame(equalLuma(frame), { format: "png" }),
    );
  await writeFile(path.join(folder, "holdfast-sheet.json"), JSON.stringify(shot.sheet));
  const json = path.join(folder, "report.json");
  const ran = await cli.run(["check", folder, "--json", json, "--quiet", "--threads", "2"]);
  expect(ran.code).toBe(1);
  const parsed = parseReport(await readFile(json, "utf8"), json);
  if ("refusals" in parsed) throw new Error(parsed.refusals.join("\n"));
  const { made, tracks, flags } = parsed.report;
  expect(made.channel).toBe("r");
  expect(flags.map(({ kind, part }) => `${kind} ${part}`)).toEqual(["sag held"]);
  expect(tracks).toHaveLength(7);
  for (const track of tracks) expect(Math.abs(track.dy! - 0.1 * (track.frame - 1))).toBeLessThan(0.03);
});
