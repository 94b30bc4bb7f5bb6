import { evenLevel } from "./even-scale.ts";
import { lightPerGrey, noiseRows } from "./noise-cells.ts";
import { fitNoise, type NoiseFit, type NoiseRow, type NoiseTerm, varianceAt } from "./noise-fit.ts";
import type { Plane } from "./plane.ts";

// The scale that a shot is measured on. The sRGB curve evens out photon noise nearly as well as can be: another one is
// taken only where the shot's own noise is well known and clearly not even on it.

/** Levels that a fit needs, and how far apart in light the lowest and the highest must lie. */
const LEAST_LEVELS = 5;
const LEAST_SPAN = 4;
/** Largest RMS of what the fit leaves over, as a share of the variance. */
const MOST_LEFT_OVER = 0.15;
/** Smallest share by which sigma is promised to fall on textured parts. Huber's weights get part of that on any scale. */
const LEAST_GAIN = 0.1;
/** Side of the windows on which that is told, px: a held part. */
const WINDOW = 96;
/** Share of the windows that have to gain as much. */
const WINDOW_SHARE = 0.25;
/** Knots of a curve: one for each grey level, and one more. */
const CURVE_KNOTS = 257;
/** A curve may be this much steeper or flatter than the sRGB one. */
const MOST_SLOPE = 3;

/** Levels of an even scale at the grey levels i x 255 / 256 of the sRGB curve, straight in between; 0 at 0, rising. */
export type EvenCurve = readonly number[];

export interface NoiseScale {
  /** Null: the sRGB curve itself. */
  readonly curve: EvenCurve | null;
  /** Null where the noise could not be told. Light from 0 to 1. */
  readonly fit: NoiseFit | null;
  /** Share by which the curve lowers sigma on a part of the picture that gains more than most; 0 without a fit. */
  readonly gain: number;
  /** Why the scale is what it is. */
  readonly reason: string;
}

const TERMS: readonly NoiseTerm[] = ["photon", "dark", "steps"];
/** Rounds in which the weights follow the fit. */
const ROUNDS = 4;

/** The fit with each level weighed by what the fit itself says of its scatter: a quiet level must not pull by chance. */
export function fitRows(rows: readonly NoiseRow[]): NoiseFit | null {
  let fit = fitNoise(rows, TERMS);
  for (let round = 0; round < ROUNDS && fit !== null; round++) {
    const last = fit;
    fit = fitNoise(
      rows.map((row) => ({
        ...row,
        weight: row.weight * (row.variance / varianceAt(last, row.level, row.step ?? 0)) ** 2,
      })),
      TERMS,
    );
  }
  return fit;
}

const lightOfGrey = (grey: number): number =>
  grey <= 0.04045 * 255 ? grey / (12.92 * 255) : ((grey / 255 + 0.055) / 1.055) ** 2.4;

/**
 * Variance of the sRGB grey level at linear light `level`, grey levels squared. By the span of plus and minus one sigma,
 * not by the slope: near black the curve bends within the noise.
 */
const greyVariance = (fit: NoiseFit, level: number): number => {
  const sigma = Math.sqrt(varianceAt(fit, level, 0));
  const span = evenLevel(level + sigma) - evenLevel(level - sigma);
  return (span * span) / 4 + fit.steps;
};

/**
 * The curve on which noise is even: the integral of 1 / sigma over the grey levels (generalised Anscombe, with the file's
 * own steps in sigma), scaled so that its mean slope over `levels` is that of the sRGB curve.
 * @param levels linear light that the picture has
 */
export function evenCurve(fit: NoiseFit, levels: readonly number[]): EvenCurve {
  const slopeAt = (level: number): number => 1 / Math.sqrt(greyVariance(fit, level));
  const mean = levels.reduce((sum, level) => sum + slopeAt(level), 0) / levels.length;
  const slope = (grey: number): number =>
    Math.max(1 / MOST_SLOPE, Math.min(MOST_SLOPE, slopeAt(lightOfGrey(grey)) / mean));
  const knots = [0];
  const step = 255 / (CURVE_KNOTS - 1);
  for (let i = 1; i < CURVE_KNOTS; i++) knots.push(knots[i - 1] + step * slope((i - 0.5) * step));
  // Rounded, so that a last bit of a power function is no difference between machines.
  return knots.map((level) => Math.round(level * 1e4) / 1e4);
}

/**
 * Share by which sigma falls where pixels count by their noise instead of alike, for a window that gains more than most:
 * with e the texture's energy and v the noise, sqrt(sum(e v) sum(e / v)) / sum(e).
 */
function gainOn(light: Plane, fit: NoiseFit): number {
  const { width, height, data } = light;
  const variance = Float64Array.from({ length: 256 }, (_, grey) => greyVariance(fit, lightOfGrey(grey)));
  const slopes = Float64Array.from({ length: 256 }, (_, grey) => 2 * lightPerGrey(lightOfGrey(grey)));
  const ratios: number[] = [];
  for (let top = 0; top + WINDOW <= height; top += WINDOW) {
    for (let left = 0; left + WINDOW <= width; left += WINDOW) {
      let [plain, noisy, quiet] = [0, 0, 0];
      for (let y = top + 1; y < top + WINDOW - 1; y += 2) {
        for (let x = left + 1; x < left + WINDOW - 1; x += 2) {
          const at = y * width + x;
          const grey = Math.round(evenLevel(data[at]));
          const slope = slopes[grey];
          const gx = (data[at + 1] - data[at - 1]) / slope;
          const gy = (data[at + width] - data[at - width]) / slope;
          const v = variance[grey];
          // Noise has a gradient too: half its variance in each direction.
          const energy = Math.max(0, gx * gx + gy * gy - v);
          plain += energy;
          noisy += energy * v;
          quiet += energy / v;
        }
      }
      if (plain > 0) ratios.push(1 - plain / Math.sqrt(noisy * quiet));
    }
  }
  ratios.sort((a, b) => b - a);
  return ratios[Math.floor(WINDOW_SHARE * ratios.length)] ?? 0;
}

/**
 * The scale for a shot, from a few of its first frames.
 * @param frames linear light, 0 to 1, same size
 */
export function noiseScale(frames: readonly Plane[]): NoiseScale {
  const none = (reason: string, fit: NoiseFit | null = null, gain = 0): NoiseScale => ({
    curve: null,
    fit,
    gain,
    reason,
  });
  if (frames.length < 2) return none("only one frame could be read");
  const rows = noiseRows(frames);
  if (rows.length < LEAST_LEVELS) return none("too few levels of brightness stand still");
  if (rows[rows.length - 1].level < LEAST_SPAN * rows[0].level) return none("the levels of brightness lie too close");
  const fit = fitRows(rows);
  if (fit === null) return none("the noise fits no model");
  const off = rows.map((row) => row.variance / varianceAt(fit, row.level, row.step ?? 0) - 1);
  const leftOver = Math.sqrt(off.reduce((sum, value) => sum + value * value, 0) / off.length);
  if (leftOver > MOST_LEFT_OVER) return none("the noise does not go by brightness alone", fit);
  const gain = gainOn(frames[0], fit);
  if (gain < LEAST_GAIN) return none("noise is even enough on the sRGB curve", fit, gain);
  return {
    curve: evenCurve(
      fit,
      rows.map((row) => row.level),
    ),
    fit,
    gain,
    reason: "noise is clearly uneven on the sRGB curve",
  };
}
