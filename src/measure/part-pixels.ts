import { PartKernel } from "./part-kernel.ts";
import type { PartTemplate } from "./part-template.ts";
import type { Plane } from "./plane.ts";
import { medianOf } from "./part-order.ts";

// The pixels of a part under one motion after the other: what the frame shows there, the tiles' sums, what is left over
// and its weights. The kernels do it where the frame lies with them, else the twins here.

/** Sums of one tile at the current estimate. Kept in flat arrays: `STRIDE` numbers a tile. */
export const STRIDE = 26;
export enum S {
  W = 0,
  T = 1,
  TT = 2,
  I = 3,
  TI = 4,
  II = 5,
  X = 6,
  Y = 7,
  R = 8,
  XT = 9,
  YT = 10,
  RT = 11,
  XX = 12,
  XY = 13,
  XR = 14,
  YY = 15,
  YR = 16,
  RR = 17,
  XI = 18,
  YI = 19,
  RI = 20,
  EE = 21,
  N = 22,
}

/** One template against one frame at a time. Buffers are kept between calls: one a thread. */
export class PartPixels {
  /** `STRIDE` numbers a tile, from `accumulate`, and from `weigh` what it says. */
  sums = new Float64Array(0);
  private readonly kernel = new PartKernel();
  /** Whether the kernels do the pixels of the current part; else the twins below do. */
  private byKernel = false;
  private template: PartTemplate | null = null;
  private coefficients: Plane | null = null;
  private sampled = new Float32Array(0);
  private weight = new Float32Array(0);
  private error = new Float32Array(0);
  private scratch = new Float64Array(4096);

  /** Starts on a template and a frame, all weights 1. */
  begin(template: PartTemplate, coefficients: Plane): void {
    const { count, tiles } = template;
    if (this.sampled.length < count) {
      this.sampled = new Float32Array(count);
      this.weight = new Float32Array(count);
      this.error = new Float32Array(count);
    }
    if (this.sums.length < tiles * STRIDE) this.sums = new Float64Array(tiles * STRIDE);
    this.template = template;
    this.coefficients = coefficients;
    this.byKernel = this.kernel.begin(template, coefficients);
    this.weight.fill(1, 0, count);
  }

  /** Samples the frame under the motion and a zoom about the centroid; what leaves the picture is NaN. */
  sample(dx: number, dy: number, turn: number, zoom: number): void {
    const { count, u, v, centroidX, centroidY } = this.template!;
    const out = this.sampled;
    if (this.byKernel) return this.kernel.sample(dx, dy, turn, zoom);
    const { width, height, data } = this.coefficients!;
    const c = zoom * Math.cos(turn);
    const s = zoom * Math.sin(turn);
    const x0 = centroidX + dx;
    const y0 = centroidY + dy;
    for (let i = 0; i < count; i++) {
      const x = x0 + c * u[i] - s * v[i];
      const y = y0 + s * u[i] + c * v[i];
      const ix = Math.floor(x);
      const iy = Math.floor(y);
      if (ix < 1 || iy < 1 || ix + 2 >= width || iy + 2 >= height) {
        out[i] = Number.NaN;
        continue;
      }
      const f = x - ix;
      const g = 1 - f;
      const w0 = (g * g * g) / 6;
      const w1 = 2 / 3 - f * f * (1 - f / 2);
      const w2 = 2 / 3 - g * g * (1 - g / 2);
      const w3 = (f * f * f) / 6;
      const p = y - iy;
      const q = 1 - p;
      const a = (iy - 1) * width + ix - 1;
      const b = a + width;
      const d = b + width;
      const e = d + width;
      out[i] =
        ((q * q * q) / 6) * (w0 * data[a] + w1 * data[a + 1] + w2 * data[a + 2] + w3 * data[a + 3]) +
        (2 / 3 - p * p * (1 - p / 2)) * (w0 * data[b] + w1 * data[b + 1] + w2 * data[b + 2] + w3 * data[b + 3]) +
        (2 / 3 - q * q * (1 - q / 2)) * (w0 * data[d] + w1 * data[d + 1] + w2 * data[d + 2] + w3 * data[d + 3]) +
        ((p * p * p) / 6) * (w0 * data[e] + w1 * data[e + 1] + w2 * data[e + 2] + w3 * data[e + 3]);
    }
  }

  /** What was sampled, one value a pixel; to be read or written before anything else is asked. */
  values(): Float32Array {
    return this.byKernel ? this.kernel.sampled() : this.sampled;
  }

  /** Weighted sums of every tile; the turn's derivative is scaled by 1 / radius, so that all three count in px. */
  accumulate(): void {
    const { count, u, v, t, gx, gy, tile, tiles, radius } = this.template!;
    const { sums, sampled, weight } = this;
    if (this.byKernel) return this.kernel.accumulate(sums);
    sums.fill(0, 0, tiles * STRIDE);
    const scale = 1 / radius;
    for (let i = 0; i < count; i++) {
      const value = sampled[i];
      if (value !== value) continue;
      const w = weight[i];
      const k = tile[i] * STRIDE;
      const T = t[i];
      const X = gx[i];
      const Y = gy[i];
      const R = (u[i] * Y - v[i] * X) * scale;
      const wT = w * T;
      const wX = w * X;
      const wY = w * Y;
      const wR = w * R;
      sums[k + S.W] = sums[k + S.W] + w;
      sums[k + S.T] = sums[k + S.T] + wT;
      sums[k + S.TT] = sums[k + S.TT] + wT * T;
      sums[k + S.I] = sums[k + S.I] + w * value;
      sums[k + S.TI] = sums[k + S.TI] + wT * value;
      sums[k + S.II] = sums[k + S.II] + w * value * value;
      sums[k + S.X] = sums[k + S.X] + wX;
      sums[k + S.Y] = sums[k + S.Y] + wY;
      sums[k + S.R] = sums[k + S.R] + wR;
      sums[k + S.XT] = sums[k + S.XT] + wX * T;
      sums[k + S.YT] = sums[k + S.YT] + wY * T;
      sums[k + S.RT] = sums[k + S.RT] + wR * T;
      sums[k + S.XX] = sums[k + S.XX] + wX * X;
      sums[k + S.XY] = sums[k + S.XY] + wX * Y;
      sums[k + S.XR] = sums[k + S.XR] + wX * R;
      sums[k + S.YY] = sums[k + S.YY] + wY * Y;
      sums[k + S.YR] = sums[k + S.YR] + wY * R;
      sums[k + S.RR] = sums[k + S.RR] + wR * R;
      sums[k + S.XI] = sums[k + S.XI] + wX * value;
      sums[k + S.YI] = sums[k + S.YI] + wY * value;
      sums[k + S.RI] = sums[k + S.RI] + wR * value;
      sums[k + S.N] = sums[k + S.N] + 1;
    }
  }

  /** Residuals of the tiles that are trusted, NaN elsewhere. Returns the median of their sizes, from some of them. */
  residuals(trust: Float64Array, offset: Float64Array, gain: Float64Array): number {
    const { count, t, tile } = this.template!;
    const { sampled, error, scratch } = this;
    const step = Math.max(1, Math.ceil(count / 4000));
    if (this.byKernel) return this.kernel.residuals(trust, offset, gain, step);
    let n = 0;
    for (let i = 0; i < count; i++) {
      const k = tile[i];
      error[i] = trust[k] === 0 ? Number.NaN : (sampled[i] - offset[k]) / gain[k] - t[i];
      if (i % step === 0 && error[i] === error[i]) scratch[n++] = Math.abs(error[i]);
    }
    return medianOf(scratch, n);
  }

  /**
   * Huber's weights for the next round, and the tiles' weighted squares and weights.
   * @param limit size above which a residual counts for less, grey levels; NaN: the weights stay
   */
  weigh(limit: number): void {
    const { count, tile, tiles } = this.template!;
    const { sums, weight, error } = this;
    if (this.byKernel) {
      const weighed = this.kernel.weigh(limit);
      for (let k = 0; k < tiles; k++) {
        sums[k * STRIDE + S.EE] = weighed[2 * k];
        sums[k * STRIDE + S.W] = weighed[2 * k + 1];
      }
      return;
    }
    for (let k = 0; k < tiles; k++) {
      sums[k * STRIDE + S.EE] = 0;
      sums[k * STRIDE + S.W] = 0;
    }
    for (let i = 0; i < count; i++) {
      const e = error[i];
      if (e !== e) {
        weight[i] = 1;
        continue;
      }
      const size = Math.abs(e);
      if (limit === limit) weight[i] = size > limit ? limit / size : 1;
      const w = weight[i];
      const s = tile[i] * STRIDE;
      sums[s + S.EE] = sums[s + S.EE] + w * e * e;
      sums[s + S.W] = sums[s + S.W] + w;
    }
  }

  /** The residuals, one a pixel; good until the next call. */
  residual(): Float32Array {
    if (this.byKernel) this.kernel.copyResiduals(this.error);
    return this.error;
  }
}
