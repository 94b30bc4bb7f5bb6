import { prepareFrame, type PreparedFrame } from "../measure/prepared.ts";
import type { Plane } from "../measure/plane.ts";
import type { FrameFile } from "./contract.ts";
import type { FrameNumber } from "../units/index.ts";

/** Prepared frames that a worker keeps: the current one, the one before and one of the anchor. Whatever the shot's length. */
const KEPT = 3;

export type Prepared = { readonly frame: PreparedFrame } | { readonly problem: string };

/**
 * Decoded and prepared frames, the most recently used ones kept. A frame that can't be read is remembered as such and
 * not tried again.
 */
export class FrameCache {
  private readonly kept = new Map<FrameNumber, PreparedFrame>();
  private readonly problems = new Map<FrameNumber, string>();

  constructor(
    private readonly luma: (file: FrameFile, analysisWidth: number) => Promise<Plane | { readonly problem: string }>,
    private readonly files: ReadonlyMap<FrameNumber, FrameFile>,
    private readonly analysisWidth: number,
  ) {}

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
    for (const oldest of this.kept.keys()) {
      if (this.kept.size < KEPT) break;
      this.kept.delete(oldest);
    }
    const plane = await this.luma(file, this.analysisWidth);
    if ("problem" in plane) {
      this.problems.set(frame, plane.problem);
      return { problem: plane.problem };
    }
    const prepared = prepareFrame(plane);
    this.kept.set(frame, prepared);
    return { frame: prepared };
  }
}
