import type { Pixels } from "./pixels.ts";
import { LUMA_BLUE, LUMA_GREEN, LUMA_RED, linearTable } from "./transfer.ts";

/** What a frame is measured on. */
export type Channel = "luma" | "r" | "g" | "b";

/** A colour channel takes luma's place only where its contrast is this many times that of luma. */
export const CHANNEL_CONTRAST_RATIO = 4;

/** About this many pixels are looked at. */
const SAMPLES = 40_000;

/**
 * The channel to measure a shot on: luma, unless one colour channel has `CHANNEL_CONTRAST_RATIO` times its contrast
 * (red felt before a green wall of the same brightness). Contrast is the standard deviation in linear light over a
 * regular sample of the frame. Choose once, on the shot's reference frame, and use it for all of them.
 */
export const chooseChannel = ({ width, height, channels, bits, data }: Pixels): Channel => {
  if (channels < 3) return "luma";
  const linear = linearTable(bits);
  const step = Math.max(1, Math.floor(Math.sqrt((width * height) / SAMPLES)));
  const sums = { luma: 0, r: 0, g: 0, b: 0 };
  const squares = { luma: 0, r: 0, g: 0, b: 0 };
  let count = 0;
  const add = (channel: Channel, value: number) => {
    sums[channel] += value;
    squares[channel] += value * value;
  };
  for (let y = step >> 1; y < height; y += step) {
    for (let x = step >> 1; x < width; x += step) {
      const at = (y * width + x) * channels;
      const r = linear[data[at]];
      const g = linear[data[at + 1]];
      const b = linear[data[at + 2]];
      add("luma", LUMA_RED * r + LUMA_GREEN * g + LUMA_BLUE * b);
      add("r", r);
      add("g", g);
      add("b", b);
      count++;
    }
  }
  const contrast = (channel: Channel) =>
    Math.sqrt(Math.max(0, squares[channel] / count - (sums[channel] / count) ** 2));
  const best = (["r", "g", "b"] as const).reduce((a, b) => (contrast(b) > contrast(a) ? b : a));
  return contrast(best) > CHANNEL_CONTRAST_RATIO * contrast("luma") + 1e-9 ? best : "luma";
};
