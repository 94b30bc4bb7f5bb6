import { expect, test } from "vitest";
import { checkShot } from "../support/check-shot.ts";
import { renderShot } from "../support/render.ts";
import { knockedCamera } from "../support/shots.ts";

test("a camera that the sheet says moves is no camera shift; one that holds is", async () => {
  const shot = knockedCamera({ frames: 12, seed: 4 });
  const frames = new Map(renderShot(shot.scene, shot.frames).planes.map((plane, i) => [i + 1, plane]));
  const kinds = async (camera: unknown): Promise<string[]> =>
    (await checkShot({ name: "x", frames, sheet: { ...shot.sheet, camera } })).flags.map(({ kind }) => kind);
  expect(await kinds([])).toEqual(["camera-shift"]);
  expect(await kinds([{ from: 1, to: 12, intent: "moves" }])).toEqual([]);
});
