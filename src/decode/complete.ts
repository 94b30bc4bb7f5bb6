import { EOI, SOI, SOS, hasJpegStart, isFrameStart, nextSegment } from "./jpeg-markers.ts";
import type { Problem } from "./pixels.ts";
import { FIRST_CHUNK, chunkAt, crc32, hasPngStart, readUint32 } from "./png-chunks.ts";

// Decoders differ in what they make of half a file: one fails, one paints the rest grey. So the file is judged before
// any of them sees it.

/**
 * Null where a JPEG reaches its end-of-image marker, or a PNG its IEND with every checksum right; else the problem.
 * Bytes after the end are left alone: cameras put previews there. Takes the whole file.
 */
export const completeness = (bytes: Uint8Array, file: string): Problem | null => {
  if (bytes.length === 0) return { problem: `${file} is empty: 0 bytes` };
  if (hasJpegStart(bytes)) return jpegCompleteness(bytes, file);
  if (hasPngStart(bytes)) return pngCompleteness(bytes, file);
  return { problem: `${file} is not a picture` };
};

const jpegCompleteness = (bytes: Uint8Array, file: string): Problem | null => {
  let frame = false;
  let scan = false;
  for (let at = 2; ; ) {
    const segment = nextSegment(bytes, at);
    // A second picture that starts inside the first one means that the first one never ended.
    if (!segment || segment.marker === SOI)
      return { problem: `${file} is cut short: its ${bytes.length} bytes hold no end-of-image marker` };
    if (segment.marker === EOI)
      return frame && scan ? null : { problem: `${file} is damaged: it ends before any picture` };
    if (segment.end < segment.body)
      return { problem: `${file} is damaged: no JPEG segment can be as at byte ${segment.start}` };
    frame ||= isFrameStart(segment.marker);
    scan ||= segment.marker === SOS;
    at = segment.end;
  }
};

const pngCompleteness = (bytes: Uint8Array, file: string): Problem | null => {
  let data = false;
  for (let at = FIRST_CHUNK; ; ) {
    const chunk = chunkAt(bytes, at);
    if (chunk === null)
      return { problem: `${file} is cut short: its ${bytes.length} bytes end before the picture does` };
    if (chunk === "damaged") return { problem: `${file} is damaged: no PNG chunk can be as at byte ${at}` };
    if (crc32(bytes.subarray(chunk.start + 4, chunk.end - 4)) !== readUint32(bytes, chunk.end - 4))
      return { problem: `${file} is damaged: the checksum of its ${chunk.type} at byte ${at} is wrong` };
    if (chunk.type === "IEND") return data ? null : { problem: `${file} is damaged: it ends before any picture` };
    data ||= chunk.type === "IDAT";
    at = chunk.end;
  }
};
