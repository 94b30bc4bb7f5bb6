import { expect, test } from "vitest";
import type { Report } from "../../src/model/index.ts";
import { heapWorkspace } from "../../src/measure/workspace.ts";
import { checkShot } from "../support/check-shot.ts";
import { renderShot } from "../support/render.ts";
import { heldPart, knockedCamera } from "../support/shots.ts";

// The whole check by the TypeScript twins, as it runs where WebAssembly has no SIMD, beside the same by the kernels.

const shots = {
  "a part that sags": heldPart({ sagPerFrame: 0.05, frames: 10 }),
  "a camera that was knocked": knockedCamera({ frames: 8 }),
};

test.each(Object.entries(shots))("%s is told alike by the twins and by the kernels", async (_, shot) => {
  const { planes } = renderShot(shot.scene, shot.frames);
  const frames = new Map(planes.map((plane, i) => [i + 1, plane] as const));
  const job = { name: "hive_010", frames, sheet: shot.sheet };
  const byKernels = await checkShot(job);
  const byTwins = await checkShot(job, { workspace: () => heapWorkspace });

  const told = (report: Report) =>
    report.flags.map(({ kind, part, from, to, px, joint, message }) => ({
      kind,
      part,
      from,
      to,
      px: px === null ? null : Math.round(px * 100) / 100,
      joint,
      message,
    }));
  expect(told(byTwins)).toEqual(told(byKernels));
  expect(byTwins.flags.length).toBeGreaterThan(0);

  expect(byTwins.tracks.length).toBe(byKernels.tracks.length);
  byTwins.tracks.forEach((track, i) => {
    const other = byKernels.tracks[i];
    expect(track.state).toBe(other.state);
    if (track.dx === null || track.dy === null) return;
    expect(Math.abs(track.dx - other.dx!)).toBeLessThan(1e-4);
    expect(Math.abs(track.dy - other.dy!)).toBeLessThan(1e-4);
  });
  byTwins.frames.forEach((frame, i) => {
    const other = byKernels.frames[i];
    if (frame.camera === null) expect(other.camera).toBeNull();
    else expect(Math.abs(frame.camera.dx - other.camera!.dx)).toBeLessThan(1e-4);
  });
});
