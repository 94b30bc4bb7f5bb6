import { bareParts } from "./bare.ts";
import { completeness } from "./complete.ts";
import type { Header } from "./header.ts";
import { isTurned, orient } from "./orient.ts";
import type { Pixels, Problem } from "./pixels.ts";
import { decodePng, needsPngDecoder } from "./png.ts";

/**
 * What the machine at hand decodes with: takes a file without metadata, as parts to be joined, and gives the stored
 * picture in 8 bits, neither turned nor colour-managed. Throws where it can't read the file; a problem is for what
 * lies with the machine rather than with the file.
 */
export type NativeDecoder = (parts: Uint8Array<ArrayBuffer>[], format: "jpeg" | "png") => Promise<Pixels | Problem>;

/**
 * Decodes a whole file whose header was read before: oriented pixels, the same to the bit whatever `native` is. A file
 * that is not complete is refused before any decoder sees it.
 */
export const decodeFrame = async (
  bytes: Uint8Array<ArrayBuffer>,
  header: Header,
  file: string,
  native: NativeDecoder,
): Promise<Pixels | Problem> => {
  const incomplete = completeness(bytes, file);
  if (incomplete) return incomplete;
  const stored = await decodeStored(bytes, header, native).catch(
    // Each decoder has its own words for it: page and command line are to say the same.
    (): Problem => ({
      problem: `${file} can't be decoded: its picture data are damaged, or need more memory than there is`,
    }),
  );
  if ("problem" in stored) return stored;
  const turned = isTurned(header.orientation);
  const width = turned ? header.height : header.width;
  const height = turned ? header.width : header.height;
  // The file was written over since its header was read.
  if (stored.width !== width || stored.height !== height)
    return {
      problem: `${file} is ${stored.width} x ${stored.height} pixels where its header said ${width} x ${height}`,
    };
  return orient(stored, header.orientation);
};

const decodeStored = async (
  bytes: Uint8Array<ArrayBuffer>,
  header: Header,
  native: NativeDecoder,
): Promise<Pixels | Problem> =>
  needsPngDecoder(bytes, header) ? decodePng(bytes) : native(bareParts(bytes, header.format), header.format);
