import { alongCurve, toEvenScale } from "./even-scale.ts";
import { gaussianBlur, gaussianWeights, loadWeights, gradientNoise, noiseLeft } from "./gaussian.ts";
import type { EvenCurve } from "./noise-scale.ts";
import type { Plane } from "./plane.ts";
import { splineCoefficients, splineGradient } from "./spline.ts";
import { addressOf, heapWorkspace, kernelsOf, type Workspace } from "./workspace.ts";

/** Prefilter, px. It removes peak-locking: without it the interpolation's own error pulls shifts towards whole pixels. */
export const PREFILTER_SIGMA = 0.8;

/** Prefilters that a part can be measured through, px: the coarser ones where texture hardly stands out of the noise. */
export const PREFILTERS = [PREFILTER_SIGMA, 1.2, 2] as const;

/** Share of the noise variance that each prefilter leaves. */
export const NOISE_LEFT: ReadonlyMap<number, number> = new Map(PREFILTERS.map((sigma) => [sigma, noiseLeft(sigma)]));
/** Gradient variance of what noise each prefilter leaves, over that noise's variance, per px squared. */
export const GRADIENT_NOISE: ReadonlyMap<number, number> = new Map(
  PREFILTERS.map((sigma) => [sigma, gradientNoise(sigma)]),
);

/** A frame through one prefilter. */
export interface Level {
  /** Grey levels of the even scale. */
  readonly even: Plane;
  /** Cubic B-spline coefficients of `even`. */
  readonly coefficients: Plane;
}

/** A frame made ready for measuring. All planes have the analysis size, but for the two small ones. */
export interface PreparedFrame {
  readonly width: number;
  readonly height: number;
  /** Linear light, 0 to 1. */
  readonly linear: Plane;
  /** Prefiltered, on the even scale, grey levels of 255. */
  readonly even: Plane;
  /** Cubic B-spline coefficients of `even`. */
  readonly coefficients: Plane;
  /** `even` averaged over 2 x 2 and 4 x 4 pixels, for seeds. */
  readonly half: Plane;
  readonly quarter: Plane;
  /** Coarser prefilters, made when they are first asked for. */
  readonly coarser: Map<number, Level>;
  /** Gradient in x and in y, grey levels per px, where it was asked for; else empty. */
  readonly gradient: Plane[];
  /** Its planes lie here until `releaseFrame`. */
  readonly workspace: Workspace;
}

/** A frame that others are measured against has its gradient too, grey levels per px. */
export interface ReferenceFrame extends PreparedFrame {
  readonly gradientX: Plane;
  readonly gradientY: Plane;
}

/** Averages 2 x 2 pixels into one; what is left over at an odd border is dropped. */
export function halve(source: Plane, into: Plane): void {
  const workspace = kernelsOf(source, into);
  if (workspace !== null) {
    workspace.kernels.halve(addressOf(source), addressOf(into), source.width, source.height);
    return;
  }
  const from = source.data;
  const to = into.data;
  for (let y = 0; y < into.height; y++) {
    for (let x = 0; x < into.width; x++) {
      const at = 2 * y * source.width + 2 * x;
      to[y * into.width + x] = (from[at] + from[at + 1] + from[at + source.width] + from[at + source.width + 1]) / 4;
    }
  }
}

/** All of a frame's planes from its light, in one pass of the kernels; false where it doesn't lie with them. */
function filledByKernel(frame: PreparedFrame, sigma: number): boolean {
  const { width, height, linear, even, coefficients, half, quarter } = frame;
  const workspace = kernelsOf(linear, even);
  const weights = gaussianWeights(sigma);
  if (workspace === null || !loadWeights(workspace, weights)) return false;
  const radius = weights.length - 1;
  const ring = (2 * radius + 2) * (width + 8) * 4;
  const turned = width * 16;
  const rows = workspace.scratch(ring + turned + (width + 2 * radius + 16) * 4);
  workspace.kernels.prepare(
    addressOf(linear),
    addressOf(even),
    addressOf(coefficients),
    addressOf(half),
    addressOf(quarter),
    width,
    height,
    radius,
    rows,
    rows + ring + turned,
    rows + ring,
  );
  return true;
}

/**
 * @param linear reduced luma in linear light, 0 to 1; not changed. It is kept: where it is a plane of `workspace`, it
 * belongs to the frame from now on
 * @param curve the shot's own even scale; null: the sRGB curve
 * @param workspace where the frame's planes lie; what is made in the kernels' one wants `releaseFrame` in the end
 */
export function prepareFrame(
  linear: Plane,
  sigma: number = PREFILTER_SIGMA,
  workspace: Workspace = heapWorkspace,
  curve: EvenCurve | null = null,
): PreparedFrame {
  const { width, height } = linear;
  const frame: PreparedFrame = {
    width,
    height,
    linear: workspace.adopt(linear),
    even: workspace.plane(width, height),
    coefficients: workspace.plane(width, height),
    half: workspace.plane(width >> 1, height >> 1),
    quarter: workspace.plane(width >> 2, height >> 2),
    coarser: new Map(),
    gradient: [],
    workspace,
  };
  if (curve === null && filledByKernel(frame, sigma)) return frame;
  const { even, coefficients, half, quarter } = frame;
  toEvenScale(frame.linear, even);
  if (curve !== null) alongCurve(even, curve);
  gaussianBlur(even, sigma, even, coefficients);
  coefficients.data.set(even.data);
  splineCoefficients(coefficients);
  halve(even, half);
  halve(half, quarter);
  return frame;
}

/** The frame through a prefilter of `sigma` px, at least `PREFILTER_SIGMA`. */
export function levelOf(frame: PreparedFrame, sigma: number): Level {
  if (sigma <= PREFILTER_SIGMA) return frame;
  let level = frame.coarser.get(sigma);
  if (level === undefined) {
    const even = frame.workspace.plane(frame.width, frame.height);
    const coefficients = frame.workspace.plane(frame.width, frame.height);
    // Gaussians add in squares: what is there already is blurred by what is missing.
    gaussianBlur(frame.even, Math.sqrt(sigma * sigma - PREFILTER_SIGMA * PREFILTER_SIGMA), even, coefficients);
    coefficients.data.set(even.data);
    splineCoefficients(coefficients);
    level = { even, coefficients };
    frame.coarser.set(sigma, level);
  }
  return level;
}

export function withGradient(frame: PreparedFrame): ReferenceFrame {
  const { gradient, workspace, width, height } = frame;
  if (gradient.length === 0) {
    gradient.push(workspace.plane(width, height), workspace.plane(width, height));
    splineGradient(frame.coefficients, gradient[0], gradient[1]);
  }
  return { ...frame, gradientX: gradient[0], gradientY: gradient[1] };
}

/** Gives back the gradient alone, the frame stays. */
export function releaseGradient({ workspace, gradient }: PreparedFrame): void {
  for (const plane of gradient.splice(0)) workspace.release(plane);
}

/** Gives back all of a frame. */
export function releaseFrame(frame: PreparedFrame): void {
  const { workspace, linear, even, coefficients, half, quarter, coarser } = frame;
  for (const plane of [linear, even, coefficients, half, quarter]) workspace.release(plane);
  for (const level of coarser.values()) {
    workspace.release(level.even);
    workspace.release(level.coefficients);
  }
  coarser.clear();
  releaseGradient(frame);
}
