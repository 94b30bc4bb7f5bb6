import { decode } from "fast-png";
import { bareParts, joined } from "./bare.ts";
import type { Header } from "./header.ts";
import type { Channels, Pixels } from "./pixels.ts";
import { FIRST_CHUNK } from "./png-chunks.ts";

/** PNG colour types that carry alpha. */
const GREY_ALPHA = 4;
const RGB_ALPHA = 6;

/**
 * True for a PNG that a canvas would change, and that is decoded by `decodePng` in page and Node alike: 16 bits are cut
 * to 8, and colour is multiplied with alpha and divided again.
 */
export const needsPngDecoder = (bytes: Uint8Array, header: Header): boolean => {
  const colourType = bytes[FIRST_CHUNK + 8 + 9];
  return header.format === "png" && (header.bits === 16 || colourType === GREY_ALPHA || colourType === RGB_ALPHA);
};

/** The stored picture of such a PNG, not turned. Throws where it is damaged. */
export const decodePng = (bytes: Uint8Array<ArrayBuffer>): Pixels => {
  // Without its metadata: a damaged text or profile is no reason to lose the frame.
  const { width, height, channels, depth, data } = decode(joined(bareParts(bytes, "png")));
  return { width, height, channels: channels as Channels, bits: depth === 16 ? 16 : 8, data };
};
