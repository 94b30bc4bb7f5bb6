import { expect, test, vi } from "vitest";
import { levelOf, prepareFrame, releaseFrame, releaseGradient, withGradient } from "../../src/measure/prepared.ts";
import { createPlane } from "../../src/measure/plane.ts";
import { addressOf, heapWorkspace, kernelsOf, KernelWorkspace } from "../../src/measure/workspace.ts";
import { openWorkspace } from "../../workers/kernels.ts";
import { createRandom } from "../support/random.ts";

async function openKernels(): Promise<KernelWorkspace> {
  const opened = await openWorkspace();
  if (!(opened instanceof KernelWorkspace)) throw new Error("WebAssembly has no SIMD here");
  return opened;
}

const bytesOf = (workspace: KernelWorkspace): number => workspace.kernels.memory.buffer.byteLength;

test("a plane keeps its values when memory grows under it", async () => {
  const workspace = await openKernels();
  const plane = workspace.plane(40, 30);
  plane.data.forEach((_, i) => (plane.data[i] = i));
  const stale = plane.data;
  const before = bytesOf(workspace);
  const large = workspace.plane(4000, 3000);
  expect(bytesOf(workspace)).toBeGreaterThan(before);
  // A view that was kept over the growth is dead: that is why planes renew theirs.
  expect(stale.length).toBe(0);
  expect(plane.data.every((value, i) => value === i)).toBe(true);
  expect(plane.data.length).toBe(1200);
  workspace.release(large);
});

test("a plane can't be used, or given back, after its release", async () => {
  const workspace = await openKernels();
  const plane = workspace.plane(8, 8);
  workspace.release(plane);
  expect(() => plane.data).toThrow("after its release");
  expect(() => addressOf(plane)).toThrow("does not lie in its memory");
  expect(() => workspace.release(plane)).toThrow("released twice");
});

test("planes never overlap, whatever is made and released, and freed memory is used again", async () => {
  const workspace = await openKernels();
  const random = createRandom(12);
  const living: { plane: ReturnType<KernelWorkspace["plane"]>; mark: number }[] = [];
  let most = 0;
  for (let step = 0; step < 4000; step++) {
    if (living.length > 0 && (living.length > 40 || random.next() < 0.48)) {
      const [{ plane, mark }] = living.splice(random.integer(living.length), 1);
      expect(plane.data.every((value) => value === mark)).toBe(true);
      workspace.release(plane);
    } else {
      const plane = workspace.plane(1 + random.integer(60), 1 + random.integer(60));
      plane.data.fill(step);
      living.push({ plane, mark: step });
    }
    if (step === 1000) most = bytesOf(workspace);
  }
  expect(bytesOf(workspace)).toBe(most);
});

test("a thousand frames take no more memory than the first few", async () => {
  const workspace = await openKernels();
  const light = createPlane(96, 64);
  light.data.fill(0.3);
  const cycle = (): void => {
    const frame = prepareFrame(light, 0.8, workspace);
    levelOf(frame, 1.2);
    levelOf(withGradient(frame), 2);
    releaseGradient(frame);
    withGradient(frame);
    releaseFrame(frame);
  };
  for (let i = 0; i < 3; i++) cycle();
  const before = bytesOf(workspace);
  const first = workspace.plane(96, 64);
  const place = addressOf(first);
  workspace.release(first);
  for (let i = 0; i < 1000; i++) cycle();
  expect(bytesOf(workspace)).toBe(before);
  const last = workspace.plane(96, 64);
  expect(addressOf(last)).toBe(place);
});

test("a frame's light becomes its own where it lies in the workspace, and is copied where it doesn't", async () => {
  const workspace = await openKernels();
  const outside = createPlane(20, 10);
  outside.data.fill(0.5);
  const frame = prepareFrame(outside, 0.8, workspace);
  expect(frame.linear).not.toBe(outside);
  expect(Array.from(frame.linear.data)).toEqual(Array.from(outside.data));
  releaseFrame(frame);
  expect(outside.data[0]).toBe(0.5);
  const inside = workspace.plane(20, 10);
  inside.data.fill(0.5);
  const second = prepareFrame(inside, 0.8, workspace);
  expect(second.linear).toBe(inside);
  releaseFrame(second);
  expect(() => inside.data).toThrow("after its release");
});

test("planes that lie apart are left to the twins", async () => {
  const [one, other] = [await openKernels(), await openKernels()];
  const [a, b, heap] = [one.plane(4, 4), other.plane(4, 4), heapWorkspace.plane(4, 4)];
  expect(kernelsOf(a, one.plane(2, 2))).toBe(one);
  expect(kernelsOf(a, b)).toBeNull();
  expect(kernelsOf(a, heap)).toBeNull();
});

test("where WebAssembly has no vectors the twins are taken", async () => {
  const validate = vi.spyOn(WebAssembly, "validate").mockReturnValue(false);
  try {
    expect(await openWorkspace()).toBe(heapWorkspace);
    expect(validate).toHaveBeenCalledOnce();
  } finally {
    validate.mockRestore();
  }
});
