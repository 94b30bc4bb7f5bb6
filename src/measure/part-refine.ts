import type { ChosenTemplate } from "./choose-prefilter.ts";
import { partCovariance, scoreVariance } from "./part-covariance.ts";
import { type Information, informationOf, reachOf, stepAlong, type Symmetric3 } from "./part-information.ts";
import { PartLight } from "./part-light.ts";
import { failed, type PartMotion, WEAK_SIGMA } from "./part-motion.ts";
import { medianOf, quantileOf } from "./part-order.ts";
import { PartPixels, S, STRIDE } from "./part-pixels.ts";
import type { PartTemplate } from "./part-template.ts";
import { phaseFloor } from "./phase-floor.ts";
import { GRADIENT_NOISE, levelOf, NOISE_LEFT, type PreparedFrame } from "./prepared.ts";

// One rigid motion from all of a part's tiles at once, by inverse-compositional Gauss-Newton (Baker & Matthews 2004),
// each tile with a gain and an offset of its own, Huber's weights on pixels (Huber 1964) and Tukey's on tiles, so that a
// shadow's edge or a passing arm costs tiles and not truth.

const MOST_ITERATIONS = 32;
/** From this iteration on steps are shortened, and again from twice as many. */
const RELAX_FROM = 10;
/** Step under which the search has converged: px, and as a share of the sigma that the picture allows. */
const CONVERGED = 1e-4;
const CONVERGED_SIGMA = 0.02;
/** A search that still goes to and fro by less than this share of its sigma has an answer: what is left goes into the sigma. */
const RESTLESS_SIGMA = 1;
/** From this iteration on the weights stay: reweighting for ever can go round in a circle. */
const WEIGHTS_SETTLE = 8;
const HUBER = 1.345;
const TUKEY = 4.685;
/** A tile whose texture stands out of the noise and still correlates less than this is covered. */
const TILE_CORRELATION = 0.5;
/** Fewer pixels than this say nothing about a tile. */
const TILE_PIXELS = 12;
/**
 * How far a tile's gain is expected from what its brightness says of it, sigma. Of a nearly bare tile the texture says less
 * of the gain than that, and noise in the template makes it too small (errors in variables): an edge at one side of the
 * tile then pulls. 0.03, 0.05 and 0.1 are alike on silicone of 40 px.
 */
const GAIN_SIGMA = 0.05;
/**
 * Where that is worth less than this share of what the texture says, the texture alone is asked. At 0.1 and below a hold in
 * a hundred on hair at noise 2 ran off along its strands; silicone of 40 px is as well off with 0.2.
 */
const GAIN_WORTH = 0.2;
/** Share of pixels in trusted tiles under which the part counts as covered. */
const LEAST_TRUSTED = 0.3;
/** Steps in a direction with a larger sigma than this are shortened, px. */
const DAMPED_SIGMA = 0.15;
/** How far the hold's own noise may be exceeded before what is left over counts as misfit. */
const NOISE_SLACK = 1.5;
/** Range of a hundred values by chance, in their sigmas (from memory). */
const NOISE_RANGE = 5;
/** Farthest from the seed, px and radians. */
const FARTHEST = 12;
const FARTHEST_TURN = 0.5;

/** Variance that noise alone leaves over through a template's prefilter; Infinity where the noise is not known. */
export function expectedNoise({ template: fine, noise }: ChosenTemplate, template: PartTemplate): number {
  if (noise === null) return Number.POSITIVE_INFINITY;
  const left = (NOISE_LEFT.get(template.sigma) ?? 1) / (NOISE_LEFT.get(fine.sigma) ?? 1);
  return noise * left * (1 + 1 / template.frames);
}

/** What pulls all tiles alike, in x and in y, at the noise before the prefilter, px. */
function floorOf({ template, noise, lumaStep }: ChosenTemplate): [number, number] {
  const before = noise === null ? null : noise / (NOISE_LEFT.get(template.sigma) ?? 1);
  const [x, y] = template.correlation.pixelOn;
  return [phaseFloor(x, before, lumaStep), phaseFloor(y, before, lumaStep)];
}

/** Where a search starts or stands: px at the centroid and radians. */
export interface Place {
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
}

/** Registers a template from one place. Buffers are kept between calls: one a thread. */
export class PartRefiner {
  /** How much larger the part is shown than in the template: the camera's zoom. */
  zoom = 1;
  private readonly pixels = new PartPixels();
  private readonly lights = new WeakMap<PartTemplate, PartLight>();
  // Per tile: gain, offset, normal equations (6), score (3), weight.
  private gain = new Float64Array(0);
  private offset = new Float64Array(0);
  private h = new Float64Array(0);
  private g = new Float64Array(0);
  private trust = new Float64Array(0);
  private kept = new Float64Array(0);
  private distance = new Float64Array(0);
  private scratch = new Float64Array(0);

  private prepare(tiles: number): void {
    if (this.gain.length < tiles) {
      this.gain = new Float64Array(tiles);
      this.offset = new Float64Array(tiles);
      this.h = new Float64Array(6 * tiles);
      this.g = new Float64Array(3 * tiles);
      this.trust = new Float64Array(tiles);
      this.kept = new Float64Array(tiles);
      this.distance = new Float64Array(tiles);
      this.scratch = new Float64Array(tiles);
    }
    this.kept.fill(0);
  }

  /**
   * Gain, offset, normal equations and score of every tile; weight 1 where it shows the part, else 0.
   * @param noise variance of the residuals, grey levels squared
   * @param held what the brightness says of a gain, as so much of the template's variance, grey levels squared
   */
  private solveTiles(tiles: number, noise: number, held: number): void {
    const { gain, offset, h, g, trust } = this;
    const { sums } = this.pixels;
    for (let k = 0; k < tiles; k++) {
      const s = k * STRIDE;
      const W = sums[s + S.W];
      trust[k] = 0;
      if (W < TILE_PIXELS) continue;
      const T = sums[s + S.T];
      const I = sums[s + S.I];
      const varT = sums[s + S.TT] - (T * T) / W;
      const covTI = sums[s + S.TI] - (T * I) / W;
      const varI = sums[s + S.II] - (I * I) / W;
      if (!(varT > 1e-6)) continue;
      // Light multiplies: a tile that is darker as a whole is fainter as well.
      const brightness = T > 0 && I > 0 ? I / T : 1;
      // By the whole tile, whatever Huber's weights leave of it: what is covered must not pass for bare.
      const known = held * W > GAIN_WORTH * varT * sums[s + S.N] ? held : 0;
      const told = varT + known;
      const a = (covTI + known * brightness) / told;
      const shown = covTI / varT;
      const correlation = varI > 0 ? covTI / Math.sqrt(varT * varI) : 0;
      // Where the tile's texture is not above the noise its gain means nothing: take the light as unchanged there.
      const textured = varT / W > 4 * noise;
      if (textured && (correlation < TILE_CORRELATION || shown < 0.2 || shown > 5)) continue;
      gain[k] = textured ? a : 1;
      offset[k] = (I - gain[k] * T) / W;
      trust[k] = 1;
      const x = sums[s + S.X];
      const y = sums[s + S.Y];
      const r = sums[s + S.R];
      const bx = sums[s + S.XT] - (x * T) / W;
      const by = sums[s + S.YT] - (y * T) / W;
      const br = sums[s + S.RT] - (r * T) / W;
      h[k * 6] = sums[s + S.XX] - (x * x) / W - (bx * bx) / told;
      h[k * 6 + 1] = sums[s + S.XY] - (x * y) / W - (bx * by) / told;
      h[k * 6 + 2] = sums[s + S.XR] - (x * r) / W - (bx * br) / told;
      h[k * 6 + 3] = sums[s + S.YY] - (y * y) / W - (by * by) / told;
      h[k * 6 + 4] = sums[s + S.YR] - (y * r) / W - (by * br) / told;
      h[k * 6 + 5] = sums[s + S.RR] - (r * r) / W - (br * br) / told;
      // Score of the projected gradient on (I - offset) / gain.
      const beta = a / gain[k];
      g[k * 3] = (sums[s + S.XI] - (x * I) / W) / gain[k] - bx * beta;
      g[k * 3 + 1] = (sums[s + S.YI] - (y * I) / W) / gain[k] - by * beta;
      g[k * 3 + 2] = (sums[s + S.RI] - (r * I) / W) / gain[k] - br * beta;
    }
  }

  /** Normal equations and score of all trusted tiles, and the weight of their pixels. */
  private together(tiles: number): { normal: Symmetric3; score: [number, number, number]; weight: number } {
    const { h, g, trust } = this;
    const { sums } = this.pixels;
    const normal: [number, number, number, number, number, number] = [0, 0, 0, 0, 0, 0];
    const score: [number, number, number] = [0, 0, 0];
    let weight = 0;
    for (let k = 0; k < tiles; k++) {
      const w = trust[k];
      if (w === 0) continue;
      weight += w * sums[k * STRIDE + S.W];
      for (let j = 0; j < 6; j++) normal[j] += w * h[k * 6 + j];
      for (let j = 0; j < 3; j++) score[j] += w * g[k * 3 + j];
    }
    return { normal, score, weight };
  }

  /** Tukey's weights on the tiles: how far each one's own shift is from the common motion, in its own sigmas. */
  private weighTiles(tiles: number, step: readonly [number, number, number], scale: number): void {
    const { h, g, trust, distance, scratch } = this;
    const { sums } = this.pixels;
    let used = 0;
    for (let k = 0; k < tiles; k++) {
      distance[k] = Number.NaN;
      // What showed something else has no score of its own.
      if (trust[k] === 0) continue;
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
      scratch[used++] = distance[k];
    }
    const typical = Math.max(1, medianOf(scratch, used) / Math.sqrt(2 * Math.LN2));
    const misfit = (k: number): number => sums[k * STRIDE + S.EE] / Math.max(1, sums[k * STRIDE + S.W]);
    let misfits = 0;
    for (let k = 0; k < tiles; k++) if (trust[k] > 0) scratch[misfits++] = misfit(k);
    const usual = Math.max(1e-6, medianOf(scratch, misfits));
    for (let k = 0; k < tiles; k++) {
      if (distance[k] !== distance[k]) continue;
      const r = distance[k] / (TUKEY * typical);
      const shape = r >= 1 ? 0 : (1 - r * r) ** 2;
      // What fits much worse than the other tiles is disturbed; it counts for less, whatever its shift.
      const worse = misfit(k) / usual;
      trust[k] = Math.max(1e-9, shape * (worse > 4 ? 4 / worse : 1));
    }
  }

  /**
   * How unevenly the light changed over the part by the last search: largest less smallest of the tiles' own ratio of
   * what the frame shows to what the template shows, covered tiles left out, less what noise alone would do.
   * @param white variance of the noise before the prefilter, grey levels squared
   */
  private unevenness(tiles: number, white: number): number {
    const { sums } = this.pixels;
    let [least, most, blur] = [Number.POSITIVE_INFINITY, 0, 0];
    for (let k = 0; k < tiles; k++) {
      const s = k * STRIDE;
      if (this.trust[k] === 0 || !(sums[s + S.T] > 0)) continue;
      const ratio = sums[s + S.I] / sums[s + S.T];
      least = Math.min(least, ratio);
      most = Math.max(most, ratio);
      blur = Math.max(blur, Math.sqrt(white * sums[s + S.N]) / sums[s + S.T]);
    }
    return Math.max(0, most - least - NOISE_RANGE * blur);
  }

  /** A smooth gain over the part in place of an even one a tile; fitted where the last search saw the part. */
  lightOf(template: PartTemplate): PartLight {
    const trusted = Uint8Array.from(this.trust.subarray(0, template.tiles), (trust) => (trust > 0 ? 1 : 0));
    // From frame to frame the same tiles show the part, as a rule.
    const known = this.lights.get(template);
    if (known?.isFor(template, trusted) === true) return known;
    const made = new PartLight(template, trusted);
    this.lights.set(template, made);
    return made;
  }

  /**
   * @param light where the light changed unevenly
   * @returns the motion; numbers are NaN with a reason where there is none
   */
  refine(
    chosen: ChosenTemplate,
    whole: PartTemplate,
    frame: PreparedFrame,
    seed: Place,
    light: PartLight | null = null,
  ): PartMotion {
    const template = light?.template ?? whole;
    const { tiles, radius } = template;
    this.prepare(tiles);
    const { pixels, trust, kept } = this;
    pixels.begin(template, levelOf(frame, template.sigma).coefficients);
    let { dx, dy, turn } = seed;
    let scale = Number.NaN;
    let done = false;
    let information: Information | null = null;
    let untold: number | null = null;
    let length = Number.POSITIVE_INFINITY;
    let sigma = 0;
    // The expected share of the noise is taken off the normal equations. Away from the answer what is left over is misfit
    // too: the noise is no more than what the hold's own frames showed.
    const noiseShare = (GRADIENT_NOISE.get(template.sigma) ?? 1) / (template.frames + 1);
    const mostNoise = NOISE_SLACK * expectedNoise(chosen, template);
    // Noise that the prefilter spread over several pixels counts together in a coarse gain. Where it isn't known, what is
    // left over away from the answer would pass for it.
    const heldPerNoise = chosen.noise === null ? 0 : 1 / ((NOISE_LEFT.get(template.sigma) ?? 1) * GAIN_SIGMA ** 2);
    for (let iteration = 0; iteration < MOST_ITERATIONS; iteration++) {
      pixels.sample(dx, dy, turn, this.zoom);
      light?.flatten(pixels.values());
      pixels.accumulate();
      const noise = Number.isNaN(scale) ? 0 : scale * scale;
      this.solveTiles(tiles, noise, heldPerNoise * Math.min(noise, mostNoise));
      // Residuals, their robust scale, Huber's weights for the next round.
      scale = Math.max(1e-3, 1.4826022185 * pixels.residuals(trust, this.offset, this.gain));
      pixels.weigh(iteration < WEIGHTS_SETTLE ? HUBER * scale : Number.NaN);
      const settled = iteration >= WEIGHTS_SETTLE;
      if (settled) for (let k = 0; k < tiles; k++) if (trust[k] > 0) trust[k] = kept[k];
      const rounds = iteration < 2 || settled ? 1 : 4;
      let step: [number, number, number] = [0, 0, 0];
      for (let round = 0; round < rounds; round++) {
        const { normal, score, weight } = this.together(tiles);
        information = informationOf(normal, noiseShare * Math.min(scale * scale, mostNoise) * weight, untold);
        if (information === null) return failed("lost", "the part was not found again near where it was", 0);
        // Levenberg's damping: in a direction that the picture hardly tells, a full step would swing about the answer or
        // wander off. The answer itself is not changed by it.
        step = stepAlong(information, score, (scale / DAMPED_SIGMA) ** 2);
        if (round + 1 < rounds) this.weighTiles(tiles, step, scale);
      }
      if (!settled) kept.set(trust.subarray(0, tiles));
      else untold ??= information!.untold;
      // Where the noise's share was taken off too much, full steps swing about the answer: shorter ones settle.
      const relaxed = iteration < RELAX_FROM ? 1 : iteration < 2 * RELAX_FROM ? 0.4 : 0.15;
      length = Math.hypot(...step);
      const stepped = length > 2 ? (relaxed * 2) / length : relaxed;
      const [stepX, stepY, stepTurn] = step.map((value) => value * stepped);
      // Inverse composition: the template's small step is undone in the frame's own, turned axes.
      turn -= stepTurn / radius;
      const c = Math.cos(turn);
      const s = Math.sin(turn);
      dx -= c * stepX - s * stepY;
      dy -= s * stepX + c * stepY;
      sigma = scale * Math.sqrt(reachOf(information!));
      if (Math.hypot(dx - seed.dx, dy - seed.dy) > FARTHEST || Math.abs(turn - seed.turn) > FARTHEST_TURN) {
        length = Number.POSITIVE_INFINITY;
        break;
      }
      if (length < Math.max(CONVERGED, CONVERGED_SIGMA * sigma) && iteration >= 3) {
        done = true;
        break;
      }
    }
    const { trusted, inPicture } = this.shares(template);
    if (inPicture < LEAST_TRUSTED) return failed("hidden", "most of the part has left the picture", trusted);
    if (!done && !(length < RESTLESS_SIGMA * sigma))
      return failed("lost", "the part was not found again near where it was", trusted);
    if (trusted < LEAST_TRUSTED) {
      const covered = Math.round((1 - trusted) * 100);
      return failed("hidden", `${covered} % of the part is covered or changed beyond recognition`, trusted);
    }
    const floor = floorOf(chosen);
    const unsettled = done ? 0 : length;
    return this.finish(template, { dx, dy, turn }, information!, { scale, trusted, floor, unsettled });
  }

  /** Shares of the part's pixels that lie in trusted tiles, and in the picture. */
  private shares({ count, tiles }: PartTemplate): { trusted: number; inPicture: number } {
    const { sums } = this.pixels;
    let trusted = 0;
    let all = 0;
    for (let k = 0; k < tiles; k++) {
      const n = sums[k * STRIDE + S.N];
      all += n;
      if (this.trust[k] > 0.1) trusted += n;
    }
    return { trusted: count > 0 ? trusted / count : 0, inPicture: count > 0 ? all / count : 0 };
  }

  private finish(
    template: PartTemplate,
    place: Place,
    information: Information,
    {
      scale,
      trusted,
      floor,
      unsettled,
    }: { scale: number; trusted: number; floor: readonly [number, number]; unsettled: number },
  ): PartMotion {
    const { count, tile, tiles } = template;
    const { h, g, trust, gain, offset, scratch } = this;
    const error = this.pixels.residual();
    let squares = 0;
    let n = 0;
    let gains = 0;
    let offsets = 0;
    for (let i = 0; i < count; i++) {
      const k = tile[i];
      const e = error[i];
      if (e !== e || trust[k] <= 0.1) continue;
      squares += Math.min(e * e, 9 * scale * scale);
      gains += gain[k];
      offsets += offset[k];
      n++;
    }
    const variance = squares / Math.max(1, n - 3 - 2 * tiles);
    const score = scoreVariance(template, { h, g, trust }, information, variance);
    const covariance = partCovariance(template, information, score, floor, unsettled);
    const strongest = information.energy.indexOf(Math.max(...information.energy));
    const half = (covariance[0] + covariance[3]) / 2;
    const root = Math.hypot((covariance[0] - covariance[3]) / 2, covariance[1]);
    const weak = Math.sqrt(half + root) > WEAK_SIGMA;
    const oneWay = Math.sqrt(Math.max(0, half - root)) < WEAK_SIGMA / 2;
    return {
      ...place,
      covariance,
      state: weak ? "weak" : "ok",
      reason: !weak ? "" : oneWay ? "texture in one direction only" : "too little texture",
      trusted,
      leftOver: quantileOf(scratch, this.ownShifts(tiles, score[strongest]), 0.95),
      gain: n > 0 ? gains / n : 1,
      offset: n > 0 ? offsets / n : 0,
      residual: Math.sqrt(variance),
      uneven: this.unevenness(tiles, variance / (NOISE_LEFT.get(template.sigma) ?? 1)),
    };
  }

  /** How far each tile that can tell is from the common motion, px, into `scratch`. Returns how many there are. */
  private ownShifts(tiles: number, score: number): number {
    const { h, g, trust, scratch } = this;
    let moved = 0;
    for (let k = 0; k < tiles; k++) {
      const det = h[k * 6] * h[k * 6 + 3] - h[k * 6 + 1] ** 2;
      if (trust[k] <= 0.1 || !(det > 0)) continue;
      const ox = (h[k * 6 + 3] * g[k * 3] - h[k * 6 + 1] * g[k * 3 + 1]) / det;
      const oy = (h[k * 6] * g[k * 3 + 1] - h[k * 6 + 1] * g[k * 3]) / det;
      if (Math.sqrt((score * (h[k * 6] + h[k * 6 + 3])) / det) < WEAK_SIGMA) scratch[moved++] = Math.hypot(ox, oy);
    }
    return moved;
  }
}
