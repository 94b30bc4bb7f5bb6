import { expect, test } from "vitest";
import { hashBytes, hashPlane } from "../../src/decode/hash.ts";

const ascii = (text: string) => Uint8Array.from(text, (letter) => letter.charCodeAt(0));

test("the hash is FNV-1a of 64 bits", () => {
  // Test vectors of the IETF draft "The FNV Non-Cryptographic Hash Algorithm" (draft-eastlake-fnv).
  expect(hashBytes(ascii(""))).toBe("cbf29ce484222325");
  expect(hashBytes(ascii("a"))).toBe("af63dc4c8601ec8c");
  expect(hashBytes(ascii("foobar"))).toBe("85944171f73967e8");
});

test("a plane's hash is that of its size and its values as little-endian bytes", () => {
  const plane = { width: 2, height: 1, data: Float32Array.of(1, -0.5) };
  expect(hashPlane(plane)).toBe(
    hashBytes(Uint8Array.of(2, 0, 0, 0, 1, 0, 0, 0, 0x00, 0x00, 0x80, 0x3f, 0x00, 0x00, 0x00, 0xbf)),
  );
});

test("the last bit of one value and the shape of the plane change the hash", () => {
  const data = Float32Array.of(0.25, 0.5, 0.75, 1);
  const hash = hashPlane({ width: 2, height: 2, data });
  expect(hashPlane({ width: 4, height: 1, data })).not.toBe(hash);
  const other = data.slice();
  new Uint32Array(other.buffer)[2] ^= 1;
  expect(hashPlane({ width: 2, height: 2, data: other })).not.toBe(hash);
});
