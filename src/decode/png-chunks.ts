// The chunk structure of a PNG (W3C, Portable Network Graphics, third edition, section 5).

const SIGNATURE = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
/** Length, type and checksum: what a chunk holds beside its data. */
const FRAME = 12;

/** One chunk; `start` is at its length, `body` at its data, `end` after its checksum. */
export interface Chunk {
  readonly type: string;
  readonly start: number;
  readonly body: number;
  readonly length: number;
  readonly end: number;
}

export const hasPngStart = (bytes: Uint8Array): boolean => SIGNATURE.every((byte, i) => bytes[i] === byte);

/** Where the first chunk starts. */
export const FIRST_CHUNK = SIGNATURE.length;

export const readUint32 = (bytes: Uint8Array, at: number): number =>
  bytes[at] * 2 ** 24 + ((bytes[at + 1] << 16) | (bytes[at + 2] << 8) | bytes[at + 3]);

/** The chunk at `from`: null where the bytes end before its data do, "damaged" where nothing there can be a chunk. */
export const chunkAt = (bytes: Uint8Array, from: number): Chunk | null | "damaged" => {
  if (from + 8 > bytes.length) return null;
  const length = readUint32(bytes, from);
  const type = String.fromCharCode(...bytes.subarray(from + 4, from + 8));
  if (length > 0x7fffffff || !/^[A-Za-z]{4}$/.test(type)) return "damaged";
  const end = from + FRAME + length;
  return end > bytes.length ? null : { type, start: from, body: from + 8, length, end };
};

let crcTable: Uint32Array | null = null;

/** CRC-32 of bytes, polynomial 0xEDB88320, as chunks carry it over type and data. */
export const crc32 = (bytes: Uint8Array): number => {
  crcTable ??= Uint32Array.from({ length: 256 }, (_, n) => {
    let c = n;
    for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
    return c;
  });
  const table = crcTable;
  let crc = 0xffffffff;
  for (let i = 0; i < bytes.length; i++) crc = table[(crc ^ bytes[i]) & 255] ^ (crc >>> 8);
  return (crc ^ 0xffffffff) >>> 0;
};
