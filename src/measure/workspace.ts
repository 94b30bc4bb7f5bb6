import type { Kernels } from "./kernel-exports.ts";
import { createPlane, type Plane } from "./plane.ts";

// Where the planes of one thread live. With the kernels of ./kernels they lie in WebAssembly's memory, where those reach
// them; without, on the heap, where the TypeScript twins work. A function that has a kernel asks its planes where they
// lie: nothing else has to be told which of the two is running.

export interface Workspace {
  /** A plane with unknown values in it. */
  plane(width: number, height: number): Plane;
  /** The plane itself where it lies here already, else a copy. */
  adopt(plane: Plane): Plane;
  /** Gives a plane's memory back. It must not be used any more; one that was made elsewhere is left alone. */
  release(plane: Plane): void;
}

/** Planes on the heap: for where WebAssembly's SIMD is missing, and for frames that nobody releases. */
export const heapWorkspace: Workspace = {
  plane: createPlane,
  adopt: (plane) => plane,
  release: () => {},
};

/** Largest side of a piece that the kernels take, and largest radius of a Gaussian, px: kernels/sizes.ts. */
export const MOST_SIZE = 64;
export const MOST_RADIUS = 32;

const PAGE = 65_536;
/** Blocks begin at a multiple of this many bytes, and have as many spare at their end: vectors reach past a row. */
const ALIGNMENT = 64;
/** Memory grows by this much at least, bytes: growing is rare, since every frame has the last one's size. */
const GROWTH = 16 * 1024 * 1024;

class KernelPlane implements Plane {
  /** Null once released. */
  view: Float32Array | null = null;

  constructor(
    readonly workspace: KernelWorkspace,
    readonly width: number,
    readonly height: number,
    readonly address: number,
  ) {}

  get data(): Float32Array {
    if (this.view === null) throw new Error("a plane was used after its release");
    return this.view;
  }
}

/** The address of a plane for a kernel. */
export function addressOf(plane: Plane): number {
  if (!(plane instanceof KernelPlane) || plane.view === null)
    throw new Error("a kernel was given a plane that does not lie in its memory");
  return plane.address;
}

/** The workspace that the planes lie in, all of them; null where one lies elsewhere: there the twin works. */
export function kernelsOf(a: Plane, b: Plane = a, c: Plane = a): KernelWorkspace | null {
  if (!(a instanceof KernelPlane && b instanceof KernelPlane && c instanceof KernelPlane)) return null;
  return a.workspace === b.workspace && a.workspace === c.workspace ? a.workspace : null;
}

/**
 * Planes in the kernels' memory. Memory only grows, and what is released is used again. When it grows, every view on it
 * goes dead: planes renew theirs, so take `plane.data` afresh after anything that may make a plane.
 */
export class KernelWorkspace implements Workspace {
  readonly kernels: Kernels;
  /** Numbers that a kernel leaves behind. */
  results: Float64Array;
  private readonly planes = new Set<KernelPlane>();
  /** Free stretches as [start, end], in order, none touching the next. */
  private readonly free: [number, number][] = [];
  private readonly lengths = new Map<number, number>();
  private end: number;
  private scratchAt = 0;
  private scratchBytes = 0;

  constructor(instance: { readonly exports: object }) {
    this.kernels = instance.exports as Kernels;
    const { memory } = this.kernels;
    this.results = new Float64Array(memory.buffer, this.kernels.resultAt(), 64);
    this.end = memory.buffer.byteLength;
    const start = Math.ceil(this.kernels.freeFrom() / ALIGNMENT) * ALIGNMENT;
    if (start < this.end) this.free.push([start, this.end]);
  }

  /** Address of a new block. */
  allocate(bytes: number): number {
    const length = Math.ceil(bytes / ALIGNMENT) * ALIGNMENT + ALIGNMENT;
    let at = this.free.findIndex(([from, to]) => to - from >= length);
    if (at < 0) {
      this.grow(length);
      at = this.free.length - 1;
    }
    const stretch = this.free[at];
    const start = stretch[0];
    stretch[0] += length;
    if (stretch[0] === stretch[1]) this.free.splice(at, 1);
    this.lengths.set(start, length);
    return start;
  }

  giveBack(address: number): void {
    const length = this.lengths.get(address);
    if (length === undefined) throw new Error("a block was given back twice");
    this.lengths.delete(address);
    let at = this.free.findIndex(([from]) => from > address);
    if (at < 0) at = this.free.length;
    this.free.splice(at, 0, [address, address + length]);
    for (const i of [at, at - 1]) {
      if (i < 0 || i + 1 >= this.free.length || this.free[i][1] !== this.free[i + 1][0]) continue;
      this.free[i][1] = this.free[i + 1][1];
      this.free.splice(i + 1, 1);
    }
  }

  private grow(bytes: number): void {
    const { memory } = this.kernels;
    const last = this.free.at(-1);
    const there = last !== undefined && last[1] === this.end ? last[1] - last[0] : 0;
    memory.grow(Math.ceil(Math.max(GROWTH, bytes - there) / PAGE));
    const end = memory.buffer.byteLength;
    if (there > 0) last![1] = end;
    else this.free.push([this.end, end]);
    this.end = end;
    this.results = new Float64Array(memory.buffer, this.kernels.resultAt(), 64);
    for (const plane of this.planes) plane.view = this.floats(plane.address, plane.width * plane.height);
  }

  plane(width: number, height: number): Plane {
    const plane = new KernelPlane(this, width, height, this.allocate(width * height * 4));
    plane.view = this.floats(plane.address, width * height);
    this.planes.add(plane);
    return plane;
  }

  adopt(plane: Plane): Plane {
    if (kernelsOf(plane) === this) return plane;
    const copy = this.plane(plane.width, plane.height);
    copy.data.set(plane.data);
    return copy;
  }

  release(plane: Plane): void {
    if (!(plane instanceof KernelPlane) || plane.workspace !== this) return;
    if (!this.planes.delete(plane)) throw new Error("a plane was released twice");
    plane.view = null;
    this.giveBack(plane.address);
  }

  /** A block that kernels work in, good until the next call. */
  scratch(bytes: number): number {
    if (bytes > this.scratchBytes) {
      if (this.scratchBytes > 0) this.giveBack(this.scratchAt);
      this.scratchAt = this.allocate(bytes);
      this.scratchBytes = bytes;
    }
    return this.scratchAt;
  }

  /** Views on a block, good until anything is allocated. */
  floats(address: number, length: number): Float32Array {
    return new Float32Array(this.kernels.memory.buffer, address, length);
  }

  doubles(address: number, length: number): Float64Array {
    return new Float64Array(this.kernels.memory.buffer, address, length);
  }

  bytes(address: number, length: number): Uint8Array {
    return new Uint8Array(this.kernels.memory.buffer, address, length);
  }

  ints(address: number, length: number): Int32Array {
    return new Int32Array(this.kernels.memory.buffer, address, length);
  }
}
