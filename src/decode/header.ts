import { NO_EXIF, readExif } from "./exif.ts";
import type { Exif } from "./exif.ts";
import { APP1, APP2, SOS, hasJpegStart, headerSegments, isFrameStart } from "./jpeg-markers.ts";
import type { Segment } from "./jpeg-markers.ts";
import { isTurned } from "./orient.ts";
import type { Orientation } from "./orient.ts";
import { MOST_MEGAPIXELS } from "./pixels.ts";
import type { Problem } from "./pixels.ts";
import { lowStep, lumaSteps } from "./quantisation.ts";
import { FIRST_CHUNK, chunkAt, hasPngStart, readUint32 } from "./png-chunks.ts";
import { otherFormat } from "./other-formats.ts";

/** Bytes from the start of a file that hold the header of nearly every frame; where `needsMore` says so, the whole file must be read. */
export const HEADER_BYTES = 256 * 1024;

/** What a frame's file says of itself. */
export interface Header {
  readonly format: "jpeg" | "png";
  /** Size of the oriented picture. */
  readonly width: number;
  readonly height: number;
  readonly orientation: Orientation;
  readonly bits: 8 | 16;
  /** "YYYY-MM-DDTHH:MM:SS" as the camera wrote it, in its own local time; null where it wrote none. */
  readonly exifTime: string | null;
  /** A colour profile is embedded. It is not applied. */
  readonly hasProfile: boolean;
  /** Largest step of luma's low frequencies, grey levels, as the JPEG's own table has it; null where it has none: a PNG. */
  readonly lumaStep: number | null;
  /** What people should know though the frame can be read; a sentence that names the file, or null. */
  readonly note: string | null;
}

export interface HeaderProblem extends Problem {
  /** The bytes ended before the header did: with more of the file it may be read. */
  readonly needsMore: boolean;
}

const refuse = (problem: string, needsMore = false): HeaderProblem => ({ problem, needsMore });

const startsWith = (bytes: Uint8Array, at: number, text: string): boolean => {
  for (let i = 0; i < text.length; i++) if (bytes[at + i] !== text.charCodeAt(i)) return false;
  return true;
};

interface Stored {
  readonly width: number;
  readonly height: number;
  readonly bits: 8 | 16;
  readonly exif: Exif;
  readonly hasProfile: boolean;
  readonly lumaStep: number | null;
}

/**
 * Reads a frame's header from the start of its file, by what the bytes are, not by the file's name. Metadata that
 * stand after the start of the picture data are not looked at, so that the answer doesn't depend on how much is read.
 */
export const readHeader = (bytes: Uint8Array, file: string): Header | HeaderProblem => {
  if (bytes.length === 0) return refuse(`${file} is empty: 0 bytes`);
  const format = hasJpegStart(bytes) ? "jpeg" : hasPngStart(bytes) ? "png" : null;
  if (!format) {
    const other = otherFormat(bytes);
    return refuse(other ? `${file} is ${other}; frames are JPEG or PNG` : `${file} is not a picture`);
  }
  const stored = format === "jpeg" ? readJpeg(bytes, file) : readPng(bytes, file);
  if ("problem" in stored) return stored;
  const { width, height, bits, exif, hasProfile, lumaStep } = stored;
  if (width === 0 || height === 0) return refuse(`${file} is damaged: its size is ${width} x ${height} pixels`);
  if (width * height > MOST_MEGAPIXELS * 1e6)
    return refuse(`${file} is ${width} x ${height} pixels; the most is ${MOST_MEGAPIXELS} megapixels`);
  const turned = isTurned(exif.orientation);
  return {
    format,
    width: turned ? height : width,
    height: turned ? width : height,
    orientation: exif.orientation,
    bits,
    exifTime: exif.time,
    hasProfile,
    lumaStep,
    note: noteOf(file, format, exif),
  };
};

const NAMES = { jpeg: /\.jpe?g$/i, png: /\.png$/i } as const;
const TITLES = { jpeg: "JPEG", png: "PNG" } as const;

const noteOf = (file: string, format: "jpeg" | "png", exif: Exif): string | null => {
  const notes: string[] = [];
  if (NAMES[format === "jpeg" ? "png" : "jpeg"].test(file)) notes.push(`is a ${TITLES[format]} inside`);
  if (!exif.readable) notes.push("has EXIF data that can't be read, so its capture time and orientation are not known");
  return notes.length > 0 ? `${file} ${notes.join(" and ")}` : null;
};

const JPEG_KINDS: Readonly<Record<number, string>> = {
  3: "lossless JPEG",
  5: "hierarchical JPEG",
  6: "hierarchical JPEG",
  7: "lossless JPEG",
  9: "JPEG with arithmetic coding",
  10: "JPEG with arithmetic coding",
  11: "lossless JPEG",
  13: "hierarchical JPEG",
  14: "hierarchical JPEG",
  15: "lossless JPEG",
};

const EXIF_MARK = "Exif\0\0";

const exifOf = (bytes: Uint8Array, segments: readonly Segment[]): Exif => {
  const found = segments.find(
    ({ marker, body, end }) => marker === APP1 && end - body > EXIF_MARK.length && startsWith(bytes, body, EXIF_MARK),
  );
  return found ? readExif(bytes.subarray(found.body + EXIF_MARK.length, found.end)) : NO_EXIF;
};

const readJpeg = (bytes: Uint8Array, file: string): Stored | HeaderProblem => {
  const { segments, whole } = headerSegments(bytes);
  if (!whole) return refuse(`${file} is cut short: its header is not complete after ${bytes.length} bytes`, true);
  const last = segments[segments.length - 1];
  const frame = segments.find((segment) => isFrameStart(segment.marker));
  if (last.marker !== SOS || last.end < last.body || !frame || frame.end - frame.body < 6)
    return refuse(`${file} is damaged: its JPEG header leads to no picture`);
  const { body } = frame;
  const kind = JPEG_KINDS[frame.marker & 15];
  if (kind) return refuse(`${file} is a ${kind}, which browsers can't read; save it as baseline JPEG or PNG`);
  if (bytes[body] !== 8) return refuse(`${file} is a ${bytes[body]}-bit JPEG; frames have 8 bits, or 16 as PNG`);
  const components = bytes[body + 5];
  if (components === 4) return refuse(`${file} is a CMYK picture; frames are grey or RGB`);
  if (components !== 1 && components !== 3)
    return refuse(`${file} has ${components} colour channels; frames have 1 or 3`);
  const steps = lumaSteps(bytes, segments);
  return {
    width: (bytes[body + 3] << 8) | bytes[body + 4],
    height: (bytes[body + 1] << 8) | bytes[body + 2],
    bits: 8,
    exif: exifOf(bytes, segments),
    hasProfile: segments.some(({ marker, body: at }) => marker === APP2 && startsWith(bytes, at, "ICC_PROFILE\0")),
    lumaStep: steps === null ? null : lowStep(steps),
  };
};

/** Bit depths that each PNG colour type may have: grey, RGB, palette, grey and alpha, RGB and alpha. */
const PNG_DEPTHS: Readonly<Record<number, readonly number[]>> = {
  0: [1, 2, 4, 8, 16],
  2: [8, 16],
  3: [1, 2, 4, 8],
  4: [8, 16],
  6: [8, 16],
};

const readPng = (bytes: Uint8Array, file: string): Stored | HeaderProblem => {
  const cut = () => refuse(`${file} is cut short: its header is not complete after ${bytes.length} bytes`, true);
  const damaged = (what: string) => refuse(`${file} is damaged: ${what}`);
  const first = chunkAt(bytes, FIRST_CHUNK);
  if (first === null) return cut();
  if (first === "damaged" || first.type !== "IHDR" || first.length !== 13) return damaged("its PNG header is missing");
  const [depth, colour, , , interlace] = bytes.subarray(first.body + 8, first.body + 13);
  if (!PNG_DEPTHS[colour]?.includes(depth) || interlace > 1)
    return damaged(`PNG has no colour type ${colour} with ${depth} bits and interlace ${interlace}`);
  let exif = NO_EXIF;
  let hasProfile = false;
  for (let at = first.end; ; ) {
    // The picture data may be longer than what was read: its name alone ends the header.
    if (startsWith(bytes, at + 4, "IDAT")) break;
    const chunk = chunkAt(bytes, at);
    if (chunk === null) return cut();
    if (chunk === "damaged" || chunk.type === "IEND") return damaged("its PNG header leads to no picture");
    if (chunk.type === "iCCP") hasProfile = true;
    if (chunk.type === "eXIf") {
      // Some writers put JPEG's mark in front.
      const skip = startsWith(bytes, chunk.body, EXIF_MARK) ? EXIF_MARK.length : 0;
      exif = readExif(bytes.subarray(chunk.body + skip, chunk.body + chunk.length));
    }
    at = chunk.end;
  }
  return {
    width: readUint32(bytes, first.body),
    height: readUint32(bytes, first.body + 4),
    bits: depth === 16 ? 16 : 8,
    exif,
    hasProfile,
    lumaStep: null,
  };
};
