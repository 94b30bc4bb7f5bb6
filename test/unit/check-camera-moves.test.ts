import { expect, test } from "vitest";
import { checkShot } from "../support/check-shot.ts";
import { renderShot } from "../support/render.ts";
import { knockedCamera } from "../support/shots.ts";

test("a knock of a camera that holds is a camera shift; of one that moves, a step off the smooth path of its move", async () => {
  const shot = knockedCamera({ frames: 12, seed: 4 });
  const frames = new Map(renderShot(shot.scene, shot.frames).planes.map((plane, i) => [i + 1, plane]));
  const told = async (camera: unknown): Promise<string[]> =>
    (await checkShot({ name: "x", frames, sheet: { ...shot.sheet, camera } })).flags.map(({ message }) => message);
  const [held, ...others] = await told([]);
  expect(others).toEqual([]);
  expect(held).toMatch(/^The camera shifted 0\.\d+ ± 0\.\d+ px at frame 7/);
  expect(await told([{ from: 1, to: 12, intent: "moves" }])).toEqual([
    expect.stringMatching(/^The camera shifted .* off the smooth path of its move at frame 7/),
  ]);
});
