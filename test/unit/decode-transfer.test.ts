import { expect, test } from "vitest";
import { hashBytes } from "../../src/decode/hash.ts";
import {
  LUMA_BLUE,
  LUMA_GREEN,
  LUMA_RED,
  SRGB_TABLE_STEPS,
  linearOfSrgb,
  linearTable,
  srgbOfLinear,
  srgbTable,
} from "../../src/decode/transfer.ts";

test("8-bit sRGB codes have the linear light of IEC 61966-2-1", () => {
  // IEC 61966-2-1, to the eight digits quoted.
  const published: [number, number][] = [
    [10, 0.00303527],
    [11, 0.00334654],
    [118, 0.18116424],
    [128, 0.2158605],
    [188, 0.50288646],
  ];
  const table = linearTable(8);
  for (const [code, linear] of published) expect(Math.abs(table[code] - linear)).toBeLessThan(5e-9);
});

test("black is 0, white is 1 and every code is brighter than the one before", () => {
  for (const bits of [8, 16] as const) {
    const table = linearTable(bits);
    expect(table).toHaveLength(2 ** bits);
    expect(table[0]).toBe(0);
    expect(table[table.length - 1]).toBe(1);
    expect(table.every((value, code) => code === 0 || value > table[code - 1])).toBe(true);
  }
});

test("the curve without Math.pow is the curve with it, to a few last bits", () => {
  for (let code = 0; code < 65536; code += 7) {
    const value = code / 65535;
    const byPow = value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
    expect(Math.abs(linearOfSrgb(value) - byPow)).toBeLessThanOrEqual(1e-15);
  }
});

test("the tables are the same to the bit in every engine", () => {
  // Made with Node 20 and with Chromium 156, which agreed. IEEE 754 leaves no choice for + - * / and square roots.
  const hash = (bits: 8 | 16) => hashBytes(new Uint8Array(linearTable(bits).buffer));
  expect(hash(8)).toBe("d785af777647ace2");
  expect(hash(16)).toBe("92001eb1ea086dc4");
});

test("a 16-bit code that is 257 times an 8-bit one is the same light", () => {
  const eight = linearTable(8);
  const sixteen = linearTable(16);
  expect(Array.from(eight, (_, code) => sixteen[257 * code])).toEqual(Array.from(eight));
});

test("the way back gives every 8-bit code again", () => {
  const back = srgbTable();
  expect(Array.from(linearTable(8), (linear) => back[Math.round(linear * SRGB_TABLE_STEPS)])).toEqual(
    Array.from({ length: 256 }, (_, code) => code),
  );
  for (let code = 0; code < 256; code++) expect(255 * srgbOfLinear(linearOfSrgb(code / 255))).toBeCloseTo(code, 5);
});

test("luma weights are those of ITU-R BT.709", () => {
  // ITU-R BT.709: 0.2126, 0.7152, 0.0722; (255, 128, 0) gives 145.7586.
  expect(LUMA_RED + LUMA_GREEN + LUMA_BLUE).toBeCloseTo(1, 15);
  expect(255 * LUMA_RED + 128 * LUMA_GREEN).toBeCloseTo(145.7586, 10);
});
