import type { Plane } from "../measure/plane.ts";

/** FNV-1a, 64 bits, in two halves of 32. */
class Fnv64 {
  private high = 0xcbf29ce4;
  private low = 0x84222325;

  add(byte: number): void {
    // times the prime 2^40 + 0x1b3, modulo 2^64
    const low = (this.low ^ byte) >>> 0;
    const product = low * 0x1b3;
    this.high = (Math.imul(this.high, 0x1b3) + Math.floor(product / 2 ** 32) + (low << 8)) >>> 0;
    this.low = product >>> 0;
  }

  addWord(word: number): void {
    this.add(word & 255);
    this.add((word >>> 8) & 255);
    this.add((word >>> 16) & 255);
    this.add(word >>> 24);
  }

  get hex(): string {
    return this.high.toString(16).padStart(8, "0") + this.low.toString(16).padStart(8, "0");
  }
}

/** FNV-1a of bytes, 64 bits, 16 hex digits (Fowler, Noll and Vo). */
export const hashBytes = (bytes: Uint8Array): string => {
  const hash = new Fnv64();
  for (const byte of bytes) hash.add(byte);
  return hash.hex;
};

/** FNV-1a of a plane's width, height (32 bits each) and float32 values, all little-endian: equal to the bit or not. */
export const hashPlane = (plane: Plane): string => {
  const hash = new Fnv64();
  hash.addWord(plane.width);
  hash.addWord(plane.height);
  const words = new Uint32Array(plane.data.buffer, plane.data.byteOffset, plane.data.length);
  for (let i = 0; i < words.length; i++) hash.addWord(words[i]);
  return hash.hex;
};
