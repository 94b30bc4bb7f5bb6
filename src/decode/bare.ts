import { APP0, APP14, APP15, COM, headerSegments } from "./jpeg-markers.ts";
import { FIRST_CHUNK, chunkAt } from "./png-chunks.ts";

// Orientation, profiles, gain maps, gamma and transparency: browsers and libraries each apply some of them, in their
// own order. They are taken out before decoding, so that every decoder gives the stored picture as it is.

/** Segments that say how the picture is coded rather than what is to be done with it. JFIF's and Adobe's name the colour model. */
const isCoding = (marker: number): boolean =>
  marker !== COM && (marker < APP0 || marker > APP15 || marker === APP0 || marker === APP14);

const CODING_CHUNKS = new Set(["IHDR", "PLTE", "IDAT", "IEND"]);

/** The file's bytes without metadata, as parts to be joined; none is copied. Takes a file whose header was read and which is complete. */
export const bareParts = (bytes: Uint8Array<ArrayBuffer>, format: "jpeg" | "png"): Uint8Array<ArrayBuffer>[] =>
  format === "jpeg" ? bareJpeg(bytes) : barePng(bytes);

/** `parts` in one piece. */
export const joined = (parts: readonly Uint8Array<ArrayBuffer>[]): Uint8Array<ArrayBuffer> => {
  if (parts.length === 1) return parts[0];
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
};

const bareJpeg = (bytes: Uint8Array<ArrayBuffer>): Uint8Array<ArrayBuffer>[] => {
  const parts: Uint8Array<ArrayBuffer>[] = [];
  let kept = 0;
  for (const { marker, start, end } of headerSegments(bytes).segments) {
    if (isCoding(marker)) continue;
    if (start > kept) parts.push(bytes.subarray(kept, start));
    kept = end;
  }
  parts.push(bytes.subarray(kept));
  return parts;
};

const barePng = (bytes: Uint8Array<ArrayBuffer>): Uint8Array<ArrayBuffer>[] => {
  const parts = [bytes.subarray(0, FIRST_CHUNK)];
  for (let at = FIRST_CHUNK; ; ) {
    const chunk = chunkAt(bytes, at);
    if (chunk === null || chunk === "damaged") return parts;
    if (CODING_CHUNKS.has(chunk.type)) parts.push(bytes.subarray(chunk.start, chunk.end));
    if (chunk.type === "IEND") return parts;
    at = chunk.end;
  }
};
