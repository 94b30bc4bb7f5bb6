/** How many values a pixel has: grey, grey and alpha, RGB, RGB and alpha. */
export type Channels = 1 | 2 | 3 | 4;

/**
 * A decoded frame, already oriented: row-major and interleaved, `data[(y * width + x) * channels + c]`.
 * Values are as encoded in the file (sRGB, profile not applied, alpha not multiplied in), 0 to 2^bits - 1.
 */
export interface Pixels {
  readonly width: number;
  readonly height: number;
  readonly channels: Channels;
  readonly bits: 8 | 16;
  readonly data: Uint8Array | Uint8ClampedArray | Uint16Array;
}

/** Why a file can't be used, as a sentence that names it. */
export interface Problem {
  readonly problem: string;
}

/** The most a frame may hold: more than the largest still cameras give. A damaged header must not claim all memory. */
export const MOST_MEGAPIXELS = 200;
