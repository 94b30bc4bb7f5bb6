import sharp from "sharp";
import { joined } from "../../src/decode/bare.ts";
import { decodeFrame } from "../../src/decode/frame.ts";
import type { NativeDecoder } from "../../src/decode/frame.ts";
import type { Header } from "../../src/decode/header.ts";
import { MOST_MEGAPIXELS } from "../../src/decode/pixels.ts";
import type { Channels, Pixels, Problem } from "../../src/decode/pixels.ts";

// Frames are read once, and the pool already gives each core a thread: a cache would only hold memory.
sharp.cache(false);
sharp.concurrency(1);

// "error" fails on what makes a browser fail as well. A warning, such as stray bytes between two markers, stops neither.
const OPTIONS = { failOn: "error", ignoreIcc: true, limitInputPixels: MOST_MEGAPIXELS * 1e6 } as const;

const bySharp: NativeDecoder = async (parts) => {
  const { data, info } = await sharp(joined(parts), OPTIONS).raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, channels: info.channels as Channels, bits: 8, data };
};

/** Decodes a whole frame to oriented pixels, the same to the bit as in the page, or says in a sentence why it can't. */
export const decodeWithSharp = (
  bytes: Uint8Array<ArrayBuffer>,
  header: Header,
  file: string,
): Promise<Pixels | Problem> => decodeFrame(bytes, header, file, bySharp);
