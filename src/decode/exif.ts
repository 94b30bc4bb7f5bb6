import ExifReader from "exifreader";
import type { Orientation } from "./orient.ts";

export interface Exif {
  readonly orientation: Orientation;
  /** "YYYY-MM-DDTHH:MM:SS" as the camera wrote it, in its own local time; null where it wrote none. */
  readonly time: string | null;
  /** False where the block could not be read at all. */
  readonly readable: boolean;
}

export const NO_EXIF: Exif = { orientation: 1, time: null, readable: true };

const TAGS = { exif: ["Orientation", "DateTimeOriginal", "DateTime"] };

/** ISO form of an EXIF time; null for blanks, zeros and dates that no calendar has. */
export const exifTime = (text: string): string | null => {
  const match = /^(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)/.exec(text);
  if (!match) return null;
  const iso = `${match[1]}-${match[2]}-${match[3]}T${match[4]}:${match[5]}:${match[6]}`;
  const date = new Date(`${iso}Z`);
  // A day that a month doesn't have rolls over into the next.
  return match[1] !== "0000" && !Number.isNaN(date.getTime()) && date.toISOString().startsWith(iso) ? iso : null;
};

/** Orientation and capture time (DateTimeOriginal, else DateTime) of an EXIF block, which is a TIFF header and its directories. */
export const readExif = (block: Uint8Array): Exif => {
  try {
    const { exif } = ExifReader.loadView(new DataView(block.buffer, block.byteOffset, block.byteLength), {
      expanded: true,
      includeTags: TAGS,
    });
    const value: unknown = exif?.Orientation?.value;
    const orientation = [1, 2, 3, 4, 5, 6, 7, 8].find((n) => n === value) as Orientation | undefined;
    const time = exifTime(exif?.DateTimeOriginal?.description ?? "") ?? exifTime(exif?.DateTime?.description ?? "");
    return { orientation: orientation ?? 1, time, readable: true };
  } catch (error) {
    const empty = error instanceof Error && error.name === "MetadataMissingError";
    return empty ? NO_EXIF : { ...NO_EXIF, readable: false };
  }
};
