import type { PartTemplate } from "./part-template.ts";
import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf, type KernelWorkspace } from "./workspace.ts";

/** Arrays of one value a pixel in the kernels' memory: the template's first, then two for runs of one tile. */
const TILE = 7;
const SAMPLED = 10;
const WEIGHT = 11;
const ERROR = 12;
const SCRATCH = 13;
const ARRAYS = 14;
/** Doubles a tile that `accumulate` answers with. */
const STRIDE = 26;

/**
 * How part-register.ts calls the kernels. The template's pixels are brought to their memory once, and samples, weights
 * and residuals stay there. One a registrar; `begin` comes first.
 */
export class PartKernel {
  private workspace: KernelWorkspace | null = null;
  private template: PartTemplate | null = null;
  private coefficients: Plane | null = null;
  private width = 0;
  private block = 0;
  private bytes = 0;
  private pitch = 0;
  private runs = 0;
  /** Places after the arrays: the work of `accumulate`, its answer, levels of the tiles, work and answer of `weigh`. */
  private work = 0;
  private answer = 0;
  private levels = 0;
  private weighing = 0;
  private weighed = 0;

  /** Sets all weights to 1; false where the frame does not lie with the kernels. */
  begin(template: PartTemplate, coefficients: Plane): boolean {
    const workspace = kernelsOf(coefficients);
    if (workspace === null) return false;
    if (this.workspace !== workspace || this.template !== template || this.width !== coefficients.width)
      this.load(workspace, template, coefficients.width);
    this.coefficients = coefficients;
    workspace.floats(this.block + WEIGHT * this.pitch, this.pitch / 4).fill(1);
    return true;
  }

  private load(workspace: KernelWorkspace, template: PartTemplate, width: number): void {
    const { count, tiles } = template;
    // Whole vectors are read and written.
    const pitch = Math.ceil(count / 4) * 16;
    const workBytes = tiles * workspace.kernels.partTileBytes();
    const bytes = ARRAYS * pitch + workBytes + tiles * (STRIDE * 8 + 64);
    if (this.workspace !== workspace || this.bytes < bytes) {
      if (this.workspace !== null) this.workspace.giveBack(this.block);
      this.block = workspace.allocate(bytes);
      this.bytes = bytes;
    }
    this.workspace = workspace;
    this.template = template;
    this.width = width;
    this.pitch = pitch;
    this.work = this.block + ARRAYS * pitch;
    this.answer = this.work + workBytes;
    this.levels = this.answer + tiles * STRIDE * 8;
    this.weighing = this.levels + tiles * 16;
    this.weighed = this.weighing + tiles * 32;
    const arrays = [template.x, template.y, template.u, template.v, template.t, template.gx, template.gy];
    for (const [i, array] of arrays.entries()) {
      workspace.floats(this.block + i * pitch, count).set(array);
    }
    workspace.ints(this.block + TILE * pitch, count).set(template.tile);
    this.runs = workspace.kernels.loadPart(this.block, pitch, count, tiles, this.work);
    workspace.kernels.placePart(this.block, pitch, count, width);
  }

  /** The frame under the motion. */
  sample(dx: number, dy: number, turn: number, zoom: number): void {
    const { block, pitch } = this;
    const plane = this.coefficients!;
    this.workspace!.kernels.samplePart(
      block,
      pitch,
      this.template!.count,
      block + SAMPLED * pitch,
      addressOf(plane),
      plane.width,
      plane.height,
      dx,
      dy,
      zoom - 1 - 2 * zoom * Math.sin(turn / 2) ** 2,
      zoom * Math.sin(turn),
    );
  }

  /** What was sampled, one value a pixel; good until the next kernel. */
  sampled(): Float32Array {
    return this.workspace!.floats(this.block + SAMPLED * this.pitch, this.template!.count);
  }

  /** Weighted sums of every tile into `sums`. */
  accumulate(sums: Float64Array): void {
    const { block, pitch, answer } = this;
    const { tiles, radius } = this.template!;
    const workspace = this.workspace!;
    const [sampled, weight] = [block + SAMPLED * pitch, block + WEIGHT * pitch];
    workspace.kernels.accumulatePart(block, pitch, this.runs, tiles, sampled, weight, 1 / radius, this.work, answer);
    sums.set(workspace.doubles(answer, tiles * STRIDE));
  }

  /** Residuals of the tiles that are trusted, and the median of the sizes of every `step`-th one. */
  residuals(trust: Float64Array, offset: Float64Array, gain: Float64Array, step: number): number {
    const { block, pitch } = this;
    const { count, tiles } = this.template!;
    const workspace = this.workspace!;
    const levels = workspace.doubles(this.levels, 2 * tiles);
    for (let k = 0; k < tiles; k++) {
      levels[2 * k] = offset[k];
      levels[2 * k + 1] = trust[k] === 0 ? Number.NaN : gain[k];
    }
    const error = block + ERROR * pitch;
    workspace.kernels.residualsOfPart(block, pitch, this.runs, block + SAMPLED * pitch, this.levels, error);
    return workspace.kernels.medianResidual(error, count, step, block + SCRATCH * pitch);
  }

  /**
   * Weights from the residuals, for the next `accumulate`.
   * @param limit size above which a residual counts for less; NaN: the weights stay
   * @returns for each tile the weighted sum of squared residuals and of weights, by turns; good until the next kernel
   */
  weigh(limit: number): Float64Array {
    const { block, pitch, weighing, weighed } = this;
    const { tiles } = this.template!;
    const workspace = this.workspace!;
    const [error, weight] = [block + ERROR * pitch, block + WEIGHT * pitch];
    workspace.kernels.weighPart(block, pitch, this.runs, tiles, error, weight, limit, weighing, weighed);
    return workspace.doubles(weighed, 2 * tiles);
  }

  /** The residuals, one a pixel. */
  copyResiduals(into: Float32Array): void {
    into.set(this.workspace!.floats(this.block + ERROR * this.pitch, this.template!.count));
  }
}
