import { PartKernel } from "./part-kernel.ts";
import type { ChosenTemplate } from "./choose-prefilter.ts";
import type { PartTemplate } from "./part-template.ts";
import { GRADIENT_NOISE, levelOf, NOISE_LEFT, type PreparedFrame } from "./prepared.ts";
import { SIGMA_FLOOR } from "./subset.ts";

// A held part found again: one rigid motion from all of its tiles at once, by inverse-compositional Gauss-Newton
// (Baker & Matthews 2004), each tile with a gain and an offset of its own, Huber's weights on pixels (Huber 1964)
// and Tukey's on tiles, so that a shadow's edge or a passing arm costs tiles and not truth.

const MOST_ITERATIONS = 32;
/** From this iteration on steps are shortened, and again from twice as many. */
const RELAX_FROM = 10;
/** Step under which the search has converged: px, and as a share of the sigma that the picture allows. */
const CONVERGED = 1e-4;
const CONVERGED_SIGMA = 0.02;
/** From this iteration on the weights stay: reweighting for ever can go round in a circle. */
const WEIGHTS_SETTLE = 8;
const HUBER = 1.345;
const TUKEY = 4.685;
/** A tile whose texture stands out of the noise and still correlates less than this is covered. */
const TILE_CORRELATION = 0.5;
/** Share of pixels in trusted tiles under which the part counts as covered. */
const LEAST_TRUSTED = 0.3;
const SEARCH_RADIUS = 10;
/** A part found somewhere else has to show this share of itself. */
const LEAST_FOUND = 0.4;
/** What is left over may be this many times the noise, or this share of the part's own contrast. */
const MISFIT = 3;
const MISFIT_CONTRAST = 0.35;
/** Sigma above which a direction can't be told, px. */
export const WEAK_SIGMA = 0.15;

export interface PartMotion {
  /** Shift at the centroid (current minus template, px) and turn (radians, positive from x towards y). */
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  /** Covariance of (dx, dy, turn) by the picture alone: xx, xy, xt, yy, yt, tt. */
  readonly covariance: readonly [number, number, number, number, number, number];
  readonly state: "ok" | "weak" | "hidden" | "lost";
  readonly reason: string;
  /** Share of the pixels in trusted tiles, 0 to 1. */
  readonly trusted: number;
  /** 95th percentile of the tiles' own displacement from the rigid motion, px. */
  readonly leftOver: number;
  /** Mean gain and offset on the even scale, current over template. */
  readonly gain: number;
  readonly offset: number;
  /** RMS of what is left over, grey levels. */
  readonly residual: number;
}

/** Steps in a direction with a larger sigma than this are shortened, px. */
const DAMPED_SIGMA = 0.15;
/** How far the hold's own noise may be exceeded before what is left over counts as misfit. */
const NOISE_SLACK = 1.5;
/** The part of the measured texture energy that must be texture and not noise, for a step to be trusted. */
const LEAST_TEXTURE = 0.08;

interface Inverse3 {
  readonly xx: number;
  readonly xy: number;
  readonly xt: number;
  readonly yy: number;
  readonly yt: number;
  readonly tt: number;
}

function invert3(a: number, b: number, c: number, d: number, e: number, f: number): Inverse3 | null {
  // Symmetric [[a, b, c], [b, d, e], [c, e, f]].
  const A = d * f - e * e;
  const B = c * e - b * f;
  const C = b * e - c * d;
  const det = a * A + b * B + c * C;
  if (!(Math.abs(det) > 1e-12 * Math.abs(a * d * f) + 1e-30)) return null;
  return {
    xx: A / det,
    xy: B / det,
    xt: C / det,
    yy: (a * f - c * c) / det,
    yt: (b * c - a * e) / det,
    tt: (a * d - b * b) / det,
  };
}

interface Energy {
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

/** Share of the energy along a direction that must be texture for the search to step along it. */
const STEPS_ALONG = 0.2;
/** How much stiffer than the other one a direction is made that tells nothing. */
const STIFF = 1e6;
/** How many times larger than noise alone would have it the sigma is told along such a direction: it was not measured. */
const UNTOLD = 30;

/**
 * Texture energy of a shift, the noise's share taken off along each principal direction. `told` is for the covariance: a
 * direction that is all noise keeps a little, and so a large sigma. `stepped` is for the search: along stripes there is
 * nothing to find, and a search that tries wanders, so it stays where it is in that direction.
 */
function withoutNoise(xx: number, xy: number, yy: number, nu: number): { told: Energy; stepped: Energy } {
  const half = (xx - yy) / 2;
  const root = Math.hypot(half, xy);
  const middle = (xx + yy) / 2 - nu;
  const angle = 0.5 * Math.atan2(2 * xy, xx - yy);
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const energy = (major: number, minor: number): Energy => ({
    xx: c * c * major + s * s * minor,
    xy: c * s * (major - minor),
    yy: s * s * major + c * c * minor,
  });
  const [major, minor] = [middle + root, middle - root].map((value) => Math.max(value, LEAST_TEXTURE * (value + nu)));
  const isTexture = (value: number): boolean => value > STEPS_ALONG * (value + nu);
  const oneWay = isTexture(middle + root) && !isTexture(middle - root);
  return oneWay
    ? { told: energy(major, minor / UNTOLD), stepped: energy(major, STIFF * major) }
    : { told: energy(major, minor), stepped: energy(major, minor) };
}

function medianOf(values: Float64Array, length: number): number {
  if (length === 0) return 0;
  const sorted = values.slice(0, length).sort();
  return length % 2 === 1 ? sorted[(length - 1) / 2] : (sorted[length / 2 - 1] + sorted[length / 2]) / 2;
}

function quantileOf(values: Float64Array, length: number, share: number): number {
  if (length === 0) return 0;
  const sorted = values.slice(0, length).sort();
  return sorted[Math.min(length - 1, Math.floor(share * length))];
}

const failed = (state: "hidden" | "lost" | "weak", reason: string, trusted: number): PartMotion => ({
  dx: Number.NaN,
  dy: Number.NaN,
  turn: Number.NaN,
  covariance: [Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN],
  state,
  reason,
  trusted,
  leftOver: Number.NaN,
  gain: Number.NaN,
  offset: Number.NaN,
  residual: Number.NaN,
});

/** Variance that noise alone leaves over through a template's prefilter; Infinity where the noise is not known. */
function expectedNoise({ template: fine, noise }: ChosenTemplate, template: PartTemplate): number {
  if (noise === null) return Number.POSITIVE_INFINITY;
  const left = (NOISE_LEFT.get(template.sigma) ?? 1) / (NOISE_LEFT.get(fine.sigma) ?? 1);
  return noise * left * (1 + 1 / template.frames);
}

/** Whether a motion has numbers, and what it leaves over is noise or little beside the part's own contrast. */
function fits(motion: PartMotion, chosen: ChosenTemplate): boolean {
  const { template, noise } = chosen;
  if (!Number.isFinite(motion.dx)) return false;
  if (noise === null) return true;
  const expected = Math.sqrt(expectedNoise(chosen, template));
  return motion.residual < MISFIT * expected || motion.residual < MISFIT_CONTRAST * template.contrast;
}

/** Sums of one tile at the current estimate. Kept in flat arrays: `STRIDE` numbers a tile. */
const STRIDE = 26;
enum S {
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

/** One registration of a template against a frame. Buffers are kept between calls: one registrar a thread. */
export class PartRegistrar {
  private readonly kernel = new PartKernel();
  /** Whether the kernels do the pixels of the current part; else the twins below do. */
  private byKernel = false;
  private sampled = new Float32Array(0);
  private weight = new Float32Array(0);
  private error = new Float32Array(0);
  private scratch = new Float64Array(0);
  private sums = new Float64Array(0);

  private prepare(count: number, tiles: number): void {
    if (this.sampled.length < count) {
      this.sampled = new Float32Array(count);
      this.weight = new Float32Array(count);
      this.error = new Float32Array(count);
    }
    if (this.sums.length < tiles * STRIDE) {
      this.sums = new Float64Array(tiles * STRIDE);
    }
    if (this.scratch.length < Math.max(4096, tiles)) this.scratch = new Float64Array(Math.max(4096, tiles));
  }

  /** Samples the frame under the motion; what leaves the picture is NaN. */
  private sample(template: PartTemplate, frame: PreparedFrame, dx: number, dy: number, turn: number): void {
    const { count, u, v, centroidX, centroidY } = template;
    const { coefficients } = levelOf(frame, template.sigma);
    const out = this.sampled;
    if (this.byKernel) return this.kernel.sample(dx, dy, turn);
    const { width, height, data } = coefficients;
    const c = Math.cos(turn);
    const s = Math.sin(turn);
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

  /** Weighted sums of every tile; the turn's derivative is scaled by 1 / radius, so that all three count in px. */
  private accumulate(template: PartTemplate): void {
    const { count, u, v, t, gx, gy, tile, tiles, radius } = template;
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
  private residuals(template: PartTemplate, trust: Float64Array, offset: Float64Array, gain: Float64Array): number {
    const { count, t, tile } = template;
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
  private weigh(template: PartTemplate, limit: number): void {
    const { count, tile, tiles } = template;
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

  /**
   * @param seedX, seedY, seedTurn where to start
   * @returns the motion; numbers are NaN with a reason where there is none
   */
  private refine(
    chosen: ChosenTemplate,
    template: PartTemplate,
    frame: PreparedFrame,
    seedX: number,
    seedY: number,
    seedTurn: number,
  ): PartMotion {
    const { count, tiles, radius } = template;
    this.prepare(count, tiles);
    const { sums, weight, scratch } = this;
    this.byKernel = this.kernel.begin(template, levelOf(frame, template.sigma).coefficients);
    weight.fill(1, 0, count);
    let dx = seedX;
    let dy = seedY;
    let turn = seedTurn;
    // Per tile: gain, offset, normal equations (6), score (3), trusted weight.
    const gain = new Float64Array(tiles);
    const offset = new Float64Array(tiles);
    const h = new Float64Array(tiles * 6);
    const g = new Float64Array(tiles * 3);
    const trust = new Float64Array(tiles);
    const kept = new Float64Array(tiles);
    const distance = new Float64Array(tiles);
    let scale = Number.NaN;
    let done = false;
    let inverse: Inverse3 | null = null;
    let reach = 0;
    // Noise has a gradient too. It swells the normal equations, so that steps come out short and sigmas small: the
    // expected share of it is taken off. Away from the answer what is left over is misfit too: the noise is no more
    // than what the hold's own frames showed.
    const noiseShare = (GRADIENT_NOISE.get(template.sigma) ?? 1) / (template.frames + 1);
    const mostNoise = NOISE_SLACK * expectedNoise(chosen, template);
    for (let iteration = 0; iteration < MOST_ITERATIONS; iteration++) {
      this.sample(template, frame, dx, dy, turn);
      this.accumulate(template);
      const noise = Number.isNaN(scale) ? 0 : scale * scale;
      for (let k = 0; k < tiles; k++) {
        const s = k * STRIDE;
        const W = sums[s + S.W];
        trust[k] = 0;
        if (W < 12) continue;
        const varT = sums[s + S.TT] - (sums[s + S.T] * sums[s + S.T]) / W;
        const covTI = sums[s + S.TI] - (sums[s + S.T] * sums[s + S.I]) / W;
        const varI = sums[s + S.II] - (sums[s + S.I] * sums[s + S.I]) / W;
        if (!(varT > 1e-6)) continue;
        const a = covTI / varT;
        const correlation = varI > 0 ? covTI / Math.sqrt(varT * varI) : 0;
        // Where the tile's texture is not above the noise its gain means nothing: take the light as unchanged there.
        const textured = varT / W > 4 * noise;
        if (textured && (correlation < TILE_CORRELATION || a < 0.2 || a > 5)) continue;
        gain[k] = textured ? a : 1;
        offset[k] = (sums[s + S.I] - gain[k] * sums[s + S.T]) / W;
        trust[k] = 1;
        const bx = sums[s + S.XT] - (sums[s + S.X] * sums[s + S.T]) / W;
        const by = sums[s + S.YT] - (sums[s + S.Y] * sums[s + S.T]) / W;
        const br = sums[s + S.RT] - (sums[s + S.R] * sums[s + S.T]) / W;
        const x = sums[s + S.X];
        const y = sums[s + S.Y];
        const r = sums[s + S.R];
        h[k * 6] = sums[s + S.XX] - (x * x) / W - (bx * bx) / varT;
        h[k * 6 + 1] = sums[s + S.XY] - (x * y) / W - (bx * by) / varT;
        h[k * 6 + 2] = sums[s + S.XR] - (x * r) / W - (bx * br) / varT;
        h[k * 6 + 3] = sums[s + S.YY] - (y * y) / W - (by * by) / varT;
        h[k * 6 + 4] = sums[s + S.YR] - (y * r) / W - (by * br) / varT;
        h[k * 6 + 5] = sums[s + S.RR] - (r * r) / W - (br * br) / varT;
        const I = sums[s + S.I];
        // Score of the projected gradient on (I - offset) / gain.
        const beta = covTI / varT / gain[k];
        g[k * 3] = (sums[s + S.XI] - (x * I) / W) / gain[k] - bx * beta;
        g[k * 3 + 1] = (sums[s + S.YI] - (y * I) / W) / gain[k] - by * beta;
        g[k * 3 + 2] = (sums[s + S.RI] - (r * I) / W) / gain[k] - br * beta;
      }
      // Residuals, their robust scale, Huber's weights for the next round.
      scale = Math.max(1e-3, 1.4826022185 * this.residuals(template, trust, offset, gain));
      this.weigh(template, iteration < WEIGHTS_SETTLE ? HUBER * scale : Number.NaN);
      // Trust of the tiles: how far each one's own shift is from the common motion, in its own sigmas.
      let step: [number, number, number] = [0, 0, 0];
      const settled = iteration >= WEIGHTS_SETTLE;
      if (settled) for (let k = 0; k < tiles; k++) if (trust[k] > 0) trust[k] = kept[k];
      const rounds = iteration < 2 || settled ? 1 : 4;
      for (let round = 0; round < rounds; round++) {
        let xx = 0;
        let xy = 0;
        let xr = 0;
        let yy = 0;
        let yr = 0;
        let rr = 0;
        let px = 0;
        let py = 0;
        let pr = 0;
        let weighted = 0;
        for (let k = 0; k < tiles; k++) {
          const w = trust[k];
          if (w === 0) continue;
          weighted += w * sums[k * STRIDE + S.W];
          xx += w * h[k * 6];
          xy += w * h[k * 6 + 1];
          xr += w * h[k * 6 + 2];
          yy += w * h[k * 6 + 3];
          yr += w * h[k * 6 + 4];
          rr += w * h[k * 6 + 5];
          px += w * g[k * 3];
          py += w * g[k * 3 + 1];
          pr += w * g[k * 3 + 2];
        }
        const nu = noiseShare * Math.min(scale * scale, mostNoise) * weighted;
        const { told, stepped } = withoutNoise(xx, xy, yy, nu);
        // A grain of certainty about the turn: a part with a single speck of texture must not spin.
        rr = Math.max(LEAST_TEXTURE * rr, rr - nu) + 1e-6 * (told.xx + told.yy);
        inverse = invert3(told.xx, told.xy, xr, told.yy, yr, rr);
        if (inverse === null) return failed("lost", "the part was not found again near where it was", 0);
        // Levenberg's damping: in a direction that the picture hardly tells, a full step would swing about the answer or
        // wander off. The answer itself is not changed by it.
        const ridge = (scale / DAMPED_SIGMA) ** 2;
        const damped = invert3(stepped.xx + ridge, stepped.xy, xr, stepped.yy + ridge, yr, rr + ridge) ?? inverse;
        reach = Math.max(damped.xx, damped.yy);
        step = [
          damped.xx * px + damped.xy * py + damped.xt * pr,
          damped.xy * px + damped.yy * py + damped.yt * pr,
          damped.xt * px + damped.yt * py + damped.tt * pr,
        ];
        if (round + 1 === rounds) break;
        let used = 0;
        for (let k = 0; k < tiles; k++) {
          distance[k] = Number.NaN;
          if (trust[k] === 0 && sums[k * STRIDE + S.N] < 12) continue;
          const s = k * 6;
          const rx = g[k * 3] - h[s] * step[0] - h[s + 1] * step[1] - h[s + 2] * step[2];
          const ry = g[k * 3 + 1] - h[s + 1] * step[0] - h[s + 3] * step[1] - h[s + 4] * step[2];
          const det = h[s] * h[s + 3] - h[s + 1] ** 2;
          const trace = h[s] + h[s + 3];
          if (!(trace > 0)) continue;
          // A tile with stripes measures across them only: judge it in the direction that it has.
          const q =
            det > 1e-4 * trace * trace
              ? (h[s + 3] * rx * rx - 2 * h[s + 1] * rx * ry + h[s] * ry * ry) / det
              : (rx * rx + ry * ry) / trace;
          distance[k] = Math.sqrt(Math.max(0, q)) / scale;
          if (trust[k] > 0) scratch[used++] = distance[k];
        }
        const typical = Math.max(1, medianOf(scratch, used) / Math.sqrt(2 * Math.LN2));
        let misfits = 0;
        for (let k = 0; k < tiles; k++)
          if (trust[k] > 0) scratch[misfits++] = sums[k * STRIDE + S.EE] / Math.max(1, sums[k * STRIDE + S.W]);
        const usual = Math.max(1e-6, medianOf(scratch, misfits));
        for (let k = 0; k < tiles; k++) {
          if (distance[k] !== distance[k] || (trust[k] === 0 && round === 0)) continue;
          const r = distance[k] / (TUKEY * typical);
          const shape = r >= 1 ? 0 : (1 - r * r) ** 2;
          // What fits much worse than the other tiles is disturbed; it counts for less, whatever its shift.
          const misfit = sums[k * STRIDE + S.EE] / Math.max(1, sums[k * STRIDE + S.W]) / usual;
          trust[k] = Math.max(1e-9, shape * (misfit > 4 ? 4 / misfit : 1));
        }
      }
      if (!settled) kept.set(trust);
      // Where the noise's share was taken off too much, full steps swing about the answer: shorter ones settle.
      const relaxed = iteration < RELAX_FROM ? 1 : iteration < 2 * RELAX_FROM ? 0.4 : 0.15;
      let [stepX, stepY, stepTurn] = step.map((value) => value * relaxed);
      const length = Math.hypot(...step);
      if (length > 2) {
        stepX *= 2 / length;
        stepY *= 2 / length;
        stepTurn *= 2 / length;
      }
      // Inverse composition: the template's small step is undone in the frame's own, turned axes.
      turn -= stepTurn / radius;
      const c = Math.cos(turn);
      const s = Math.sin(turn);
      dx -= c * stepX - s * stepY;
      dy -= s * stepX + c * stepY;
      if (Math.hypot(dx - seedX, dy - seedY) > 12 || Math.abs(turn - seedTurn) > 0.5) break;
      const allowed = CONVERGED_SIGMA * scale * Math.sqrt(Math.max(0, reach));
      if (length < Math.max(CONVERGED, allowed) && iteration >= 3) {
        done = true;
        break;
      }
    }
    let trustedPixels = 0;
    let all = 0;
    for (let k = 0; k < tiles; k++) {
      const n = sums[k * STRIDE + S.N];
      all += n;
      if (trust[k] > 0.1) trustedPixels += n;
    }
    const trusted = count > 0 ? trustedPixels / count : 0;
    if (all < count * LEAST_TRUSTED) return failed("hidden", "most of the part has left the picture", trusted);
    if (!done) return failed("lost", "the part was not found again near where it was", trusted);
    if (trusted < LEAST_TRUSTED)
      return failed(
        "hidden",
        `${Math.round((1 - trusted) * 100)} % of the part is covered or changed beyond recognition`,
        trusted,
      );
    return this.finish(template, { dx, dy, turn, gain, offset, h, g, trust, inverse: inverse!, scale, trusted });
  }

  private finish(
    template: PartTemplate,
    at: {
      dx: number;
      dy: number;
      turn: number;
      gain: Float64Array;
      offset: Float64Array;
      h: Float64Array;
      g: Float64Array;
      trust: Float64Array;
      inverse: Inverse3;
      scale: number;
      trusted: number;
    },
  ): PartMotion {
    const { count, tiles, radius, correlationFactor } = template;
    if (this.byKernel) this.kernel.copyResiduals(this.error);
    const { error, tile, scratch } = { error: this.error, tile: template.tile, scratch: this.scratch };
    const { h, g, trust, inverse } = at;
    let squares = 0;
    let n = 0;
    let gains = 0;
    let offsets = 0;
    for (let i = 0; i < count; i++) {
      const k = tile[i];
      const e = error[i];
      if (e !== e || trust[k] <= 0.1) continue;
      squares += Math.min(e * e, 9 * at.scale * at.scale);
      gains += at.gain[k];
      offsets += at.offset[k];
      n++;
    }
    const degrees = Math.max(1, n - 3 - 2 * tiles);
    const variance = squares / degrees;
    // White-noise figure, with what the prefilter's correlation adds.
    const base = Math.max(0.5, correlationFactor / (NOISE_LEFT.get(template.sigma) ?? 1));
    // Cluster figure: scores of the tiles, which under JPEG and shading scatter more than their pixels say.
    let clusters = 0;
    let meat = 0;
    let expected = 0;
    let moved = 0;
    for (let k = 0; k < tiles; k++) {
      const w = trust[k];
      if (w <= 0.1) continue;
      clusters++;
      const rx = g[k * 3];
      const ry = g[k * 3 + 1];
      const rr = g[k * 3 + 2];
      const i = inverse;
      meat +=
        w *
        w *
        (i.xx * rx * rx + i.yy * ry * ry + i.tt * rr * rr + 2 * (i.xy * rx * ry + i.xt * rx * rr + i.yt * ry * rr));
      expected +=
        w *
        w *
        variance *
        base *
        (i.xx * h[k * 6] +
          i.yy * h[k * 6 + 3] +
          i.tt * h[k * 6 + 5] +
          2 * (i.xy * h[k * 6 + 1] + i.xt * h[k * 6 + 2] + i.yt * h[k * 6 + 4]));
      const det = h[k * 6] * h[k * 6 + 3] - h[k * 6 + 1] ** 2;
      if (det > 0) {
        const ox = (h[k * 6 + 3] * rx - h[k * 6 + 1] * ry) / det;
        const oy = (h[k * 6] * ry - h[k * 6 + 1] * rx) / det;
        const sigma = Math.sqrt((variance * base * (h[k * 6] + h[k * 6 + 3])) / det);
        if (sigma < WEAK_SIGMA && moved < scratch.length) scratch[moved++] = Math.hypot(ox, oy);
      }
    }
    // The cluster figure is itself uncertain with few tiles: it may raise the white one, and lower it only with many.
    const factor = clusters > 5 ? clusters / (clusters - 3) : 1;
    const ratio = expected > 0 && clusters > 5 ? (factor * meat) / expected : 1;
    const inflate = variance * base * Math.max(clusters >= 30 ? 0.6 : 1, ratio);
    const floor = SIGMA_FLOOR * SIGMA_FLOOR;
    // Sandwich: the inverse of what is texture, around what texture and noise together let the score scatter.
    const m = [0, 0, 0, 0, 0, 0];
    for (let k = 0; k < tiles; k++) for (let j = 0; j < 6; j++) m[j] += trust[k] * h[k * 6 + j];
    const i = inverse;
    const rows = [
      [i.xx, i.xy, i.xt],
      [i.xy, i.yy, i.yt],
      [i.xt, i.yt, i.tt],
    ];
    const sandwich = (p: number, q: number): number => {
      const [a, b] = [rows[p], rows[q]];
      return (
        inflate *
        (a[0] * (m[0] * b[0] + m[1] * b[1] + m[2] * b[2]) +
          a[1] * (m[1] * b[0] + m[3] * b[1] + m[4] * b[2]) +
          a[2] * (m[2] * b[0] + m[4] * b[1] + m[5] * b[2]))
      );
    };
    const covariance: [number, number, number, number, number, number] = [
      sandwich(0, 0) + floor,
      sandwich(0, 1),
      sandwich(0, 2) / radius,
      sandwich(1, 1) + floor,
      sandwich(1, 2) / radius,
      (sandwich(2, 2) + floor) / (radius * radius),
    ];
    const half = (covariance[0] + covariance[3]) / 2;
    const root = Math.hypot((covariance[0] - covariance[3]) / 2, covariance[1]);
    const worst = Math.sqrt(half + root);
    const best = Math.sqrt(Math.max(0, half - root));
    const weak = worst > WEAK_SIGMA;
    const reason = !weak ? "" : best < WEAK_SIGMA / 2 ? "texture in one direction only" : "too little texture";
    return {
      dx: at.dx,
      dy: at.dy,
      turn: at.turn,
      covariance,
      state: weak ? "weak" : "ok",
      reason,
      trusted: at.trusted,
      leftOver: quantileOf(scratch, moved, 0.95),
      gain: n > 0 ? gains / n : 1,
      offset: n > 0 ? offsets / n : 0,
      residual: Math.sqrt(variance),
    };
  }

  /** Whole-part correlation on the quarter-size picture; shift in px of the analysed frame. */
  private search(
    template: PartTemplate,
    frame: PreparedFrame,
    aroundX: number,
    aroundY: number,
  ): { dx: number; dy: number; correlation: number } | null {
    const { coarseU, coarseV, coarseT } = template;
    const n = coarseT.length;
    if (n < 12) return null;
    const { width, height, data } = frame.quarter;
    let mean = 0;
    for (let i = 0; i < n; i++) mean += coarseT[i];
    mean /= n;
    let norm = 0;
    for (let i = 0; i < n; i++) norm += (coarseT[i] - mean) ** 2;
    if (!(norm > 1e-6)) return null;
    let best = -1;
    let at: [number, number] = [0, 0];
    const cx = Math.round(aroundX / 4);
    const cy = Math.round(aroundY / 4);
    for (let v = cy - SEARCH_RADIUS; v <= cy + SEARCH_RADIUS; v++) {
      for (let u = cx - SEARCH_RADIUS; u <= cx + SEARCH_RADIUS; u++) {
        let sum = 0;
        let squares = 0;
        let cross = 0;
        let inside = 0;
        for (let i = 0; i < n; i++) {
          const x = coarseU[i] + u;
          const y = coarseV[i] + v;
          if (x < 0 || y < 0 || x >= width || y >= height) continue;
          const value = data[y * width + x];
          sum += value;
          squares += value * value;
          cross += value * (coarseT[i] - mean);
          inside++;
        }
        if (inside < n * 0.7) continue;
        const spread = squares - (sum * sum) / inside;
        if (!(spread > 1e-6)) continue;
        const score = cross / Math.sqrt(norm * spread);
        if (score > best) {
          best = score;
          at = [u, v];
        }
      }
    }
    return best > 0.3 ? { dx: at[0] * 4, dy: at[1] * 4, correlation: best } : null;
  }

  /**
   * Where the part is now against its template. Starts from the seed; where that does not fit, looks for the part up to
   * 40 px away, first on the quarter-size picture, then through the coarsest prefilter.
   * @param seedX, seedY px, what the camera alone did
   */
  register(chosen: ChosenTemplate, frame: PreparedFrame, seedX = 0, seedY = 0): PartMotion {
    const { template, coarse, promised } = chosen;
    const near = this.refine(chosen, template, frame, seedX, seedY, 0);
    if (fits(near, chosen) && near.trusted > 0.6) return near;
    if (promised !== null && promised > WEAK_SIGMA)
      return Number.isFinite(near.dx) ? near : failed("weak", "too little texture", near.trusted);
    let best = near;
    const better = (motion: PartMotion): boolean =>
      fits(motion, chosen) &&
      motion.trusted > LEAST_FOUND &&
      (!fits(best, chosen) || motion.trusted > best.trusted + 0.1);
    const found = this.search(template, frame, seedX, seedY);
    const starts: [number, number][] = [[seedX, seedY]];
    if (found !== null) starts.push([found.dx, found.dy]);
    for (const [x, y] of starts) {
      const rough = coarse === null ? null : this.refine(chosen, coarse, frame, x, y, 0);
      const motion =
        rough !== null && Number.isFinite(rough.dx)
          ? this.refine(chosen, template, frame, rough.dx, rough.dy, rough.turn)
          : this.refine(chosen, template, frame, x, y, 0);
      if (better(motion)) best = motion;
      if (fits(best, chosen) && best.trusted > 0.8) break;
    }
    if (fits(best, chosen)) return best;
    if (Number.isFinite(best.dx))
      return failed("lost", "what was found does not fit: the part changed, or is covered", best.trusted);
    return best;
  }
}
