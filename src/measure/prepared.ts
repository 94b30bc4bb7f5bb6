import { toEvenScale } from "./even-scale.ts";
import { gaussianBlur } from "./gaussian.ts";
import { createPlane, type Plane } from "./plane.ts";
import { splineCoefficients, splineGradient } from "./spline.ts";

/** Prefilter, px. It removes peak-locking: without it the interpolation's own error pulls shifts towards whole pixels. */
export const PREFILTER_SIGMA = 0.8;

/** Prefilters that a part can be measured through, px: the coarser ones where texture hardly stands out of the noise. */
export const PREFILTERS = [PREFILTER_SIGMA, 1.2, 2] as const;

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
}

/** A frame that others are measured against has its gradient too, grey levels per px. */
export interface ReferenceFrame extends PreparedFrame {
  readonly gradientX: Plane;
  readonly gradientY: Plane;
}

function halved(source: Plane): Plane {
  const out = createPlane(source.width >> 1, source.height >> 1);
  for (let y = 0; y < out.height; y++) {
    for (let x = 0; x < out.width; x++) {
      const at = 2 * y * source.width + 2 * x;
      out.data[y * out.width + x] =
        (source.data[at] + source.data[at + 1] + source.data[at + source.width] + source.data[at + source.width + 1]) /
        4;
    }
  }
  return out;
}

/** @param linear reduced luma in linear light, 0 to 1; kept, not changed */
export function prepareFrame(linear: Plane, sigma: number = PREFILTER_SIGMA): PreparedFrame {
  const { width, height } = linear;
  const even = createPlane(width, height);
  const coefficients = createPlane(width, height);
  toEvenScale(linear, even);
  gaussianBlur(even, sigma, even, coefficients);
  coefficients.data.set(even.data);
  splineCoefficients(coefficients);
  const half = halved(even);
  return { width, height, linear, even, coefficients, half, quarter: halved(half), coarser: new Map() };
}

/** The frame through a prefilter of `sigma` px, at least `PREFILTER_SIGMA`. */
export function levelOf(frame: PreparedFrame, sigma: number): Level {
  if (sigma <= PREFILTER_SIGMA) return frame;
  let level = frame.coarser.get(sigma);
  if (level === undefined) {
    const even = createPlane(frame.width, frame.height);
    const coefficients = createPlane(frame.width, frame.height);
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
  const gradientX = createPlane(frame.width, frame.height);
  const gradientY = createPlane(frame.width, frame.height);
  splineGradient(frame.coefficients, gradientX, gradientY);
  return { ...frame, gradientX, gradientY };
}
