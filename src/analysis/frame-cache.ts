import type { EvenCurve } from "../measure/noise-scale.ts";
import { PREFILTER_SIGMA, prepareFrame, type PreparedFrame, releaseFrame } from "../measure/prepared.ts";
import type { Plane } from "../measure/plane.ts";
import { heapWorkspace, type Workspace } from "../measure/workspace.ts";
import type { FrameFile } from "./contract.ts";
import type { FrameNumber } from "../units/index.ts";

/** Prepared frames that a worker keeps: the current one, the one before and one of the anchor. Whatever the shot's length. */
const KEPT = 3;

/** Opens a frame into a plane that `place` makes: see Opener. */
type Luma = (
  file: FrameFile,
  analysisWidth: number,
  place?: Workspace["plane"],
) => Promise<Plane | { readonly problem: string }>;

export type Prepared = { readonly frame: PreparedFrame } | { readonly problem: string };

/**
 * Decoded and prepared frames, the most recently used ones kept. A frame that can't be read is remembered as such and
 * not tried again. The memory of what it no longer keeps is used again: hold on to a frame inside `while` only.
 */
export class FrameCache {
  private readonly kept = new Map<FrameNumber, PreparedFrame>();
  /** How often each frame is in use: what is in use stays. */
  private readonly pinned = new Map<FrameNumber, number>();
  private readonly problems = new Map<FrameNumber, string>();
  private readonly lasting = new Set<FrameNumber>();
  private closed = false;

  constructor(
    private readonly luma: Luma,
    private readonly files: ReadonlyMap<FrameNumber, FrameFile>,
    private readonly analysisWidth: number,
    private readonly workspace: Workspace = heapWorkspace,
    private readonly curve: EvenCurve | null = null,
  ) {}

  /** Runs `act` while these frames, once got, stay. */
  async while<T>(frames: readonly FrameNumber[], act: () => Promise<T>): Promise<T> {
    for (const frame of frames) this.pinned.set(frame, (this.pinned.get(frame) ?? 0) + 1);
    try {
      return await act();
    } finally {
      for (const frame of frames) {
        const left = (this.pinned.get(frame) ?? 1) - 1;
        if (left > 0) this.pinned.set(frame, left);
        else this.pinned.delete(frame);
      }
      if (this.closed) this.trim(0);
    }
  }

  /** The frame stays for as long as the cache does. */
  keep(frame: FrameNumber): void {
    this.lasting.add(frame);
  }

  /** Gives all frames back, those in use as soon as they no longer are. */
  close(): void {
    this.closed = true;
    this.trim(0);
  }

  /** Lets go of the frames that were not used for longest, until `most` are left. */
  private trim(most: number): void {
    for (const [number, frame] of [...this.kept]) {
      if (this.kept.size <= most) break;
      if (this.pinned.has(number) || (this.lasting.has(number) && !this.closed)) continue;
      this.kept.delete(number);
      releaseFrame(frame);
    }
  }

  async get(frame: FrameNumber): Promise<Prepared> {
    const known = this.kept.get(frame);
    if (known !== undefined) {
      this.kept.delete(frame);
      this.kept.set(frame, known);
      return { frame: known };
    }
    const problem = this.problems.get(frame);
    if (problem !== undefined) return { problem };
    const file = this.files.get(frame);
    if (file === undefined) return { problem: `frame ${frame} is not in the shot` };
    // Make room first: the frame being decoded is the largest thing in this thread.
    this.trim(KEPT - 1);
    const plane = await this.luma(file, this.analysisWidth, (width, height) => this.workspace.plane(width, height));
    if ("problem" in plane) {
      this.problems.set(frame, plane.problem);
      return { problem: plane.problem };
    }
    const prepared = prepareFrame(plane, PREFILTER_SIGMA, this.workspace, this.curve);
    this.kept.set(frame, prepared);
    return { frame: prepared };
  }
}
