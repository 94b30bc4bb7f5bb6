// The marker structure of a JPEG (ITU-T T.81, annex B), walked in the way decoders do.

export const SOI = 0xd8;
export const EOI = 0xd9;
export const SOS = 0xda;
export const COM = 0xfe;
export const APP0 = 0xe0;
export const APP1 = 0xe1;
export const APP2 = 0xe2;
export const APP14 = 0xee;
export const APP15 = 0xef;

/** One marker; `start` is at its 0xFF, `body` after the length, `end` after the segment. */
export interface Segment {
  readonly marker: number;
  readonly start: number;
  readonly body: number;
  readonly end: number;
}

/** A start-of-frame marker; DHT, JPG and DAC share its numbers. */
export const isFrameStart = (marker: number): boolean =>
  marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;

/** Restart markers and TEM stand alone, in picture data. */
const standsAlone = (marker: number): boolean => (marker >= 0xd0 && marker <= 0xd7) || marker === 0x01;

export const hasJpegStart = (bytes: Uint8Array): boolean =>
  bytes.length >= 3 && bytes[0] === 0xff && bytes[1] === SOI && bytes[2] === 0xff;

/**
 * The next marker at or after `from`, past picture data, stuffed zeros, fill bytes and restart markers; null where
 * the bytes end before it or within its segment. A length that can't be (below 2) gives `end` before `body`.
 */
export const nextSegment = (bytes: Uint8Array, from: number): Segment | null => {
  let at = bytes.indexOf(0xff, from);
  for (; at >= 0 && at + 1 < bytes.length; at = bytes.indexOf(0xff, at)) {
    const marker = bytes[at + 1];
    if (marker === 0xff) at += 1;
    else if (marker === 0 || standsAlone(marker)) at += 2;
    else if (marker === SOI || marker === EOI) return { marker, start: at, body: at + 2, end: at + 2 };
    else {
      if (at + 4 > bytes.length) return null;
      const end = at + 2 + ((bytes[at + 2] << 8) | bytes[at + 3]);
      return end > bytes.length ? null : { marker, start: at, body: at + 4, end };
    }
  }
  return null;
};

/** All segments from the start to the first scan, that one included; `whole` is false where the bytes end before it. */
export const headerSegments = (
  bytes: Uint8Array,
): { readonly segments: readonly Segment[]; readonly whole: boolean } => {
  const segments: Segment[] = [];
  for (let at = 2; ; ) {
    const segment = nextSegment(bytes, at);
    if (!segment) return { segments, whole: false };
    segments.push(segment);
    if (segment.marker === SOS || segment.marker === EOI || segment.marker === SOI || segment.end < segment.body)
      return { segments, whole: true };
    at = segment.end;
  }
};
