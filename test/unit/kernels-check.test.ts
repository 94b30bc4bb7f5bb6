import { expect, test } from "vitest";
import type { Report } from "../../src/model/index.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { heapWorkspace, type Workspace } from "../../src/measure/workspace.ts";
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

/** Spoils what is given back, and counts what is not. */
function watched(): { workspace: Workspace; most: () => number } {
  const living = new Set<Plane>();
  let most = 0;
  const plane = (width: number, height: number): Plane => {
    const made = createPlane(width, height);
    living.add(made);
    most = Math.max(most, living.size);
    return made;
  };
  const workspace: Workspace = {
    plane,
    adopt(source) {
      if (living.has(source)) return source;
      const copy = plane(source.width, source.height);
      copy.data.set(source.data);
      return copy;
    },
    release(gone) {
      if (!living.delete(gone)) throw new Error("a plane was given back twice, or came from elsewhere");
      gone.data.fill(Number.NaN);
    },
  };
  return { workspace, most: () => most };
}

test("nothing that was given back is looked at again, and a longer shot holds no more at a time", async () => {
  const shot = knockedCamera({ frames: 16 });
  const { planes } = renderShot(shot.scene, shot.frames);
  const job = (count: number) => ({
    name: "hive_010",
    frames: new Map(planes.slice(0, count).map((plane, i) => [i + 1, plane] as const)),
    sheet: null,
  });
  const most = [];
  for (const count of [8, 16]) {
    const { workspace, most: seen } = watched();
    const report = await checkShot(job(count), { workspace: () => workspace });
    expect(report).toEqual(await checkShot(job(count), { workspace: () => heapWorkspace }));
    most.push(seen());
  }
  expect(most[1]).toBe(most[0]);

  const held = shots["a part that sags"];
  const frames = new Map(renderShot(held.scene, held.frames).planes.map((plane, i) => [i + 1, plane] as const));
  const withSheet = { name: "hive_010", frames, sheet: held.sheet };
  const { workspace } = watched();
  expect(await checkShot(withSheet, { workspace: () => workspace })).toEqual(
    await checkShot(withSheet, { workspace: () => heapWorkspace }),
  );
});
