import { expect, test } from "vitest";
import { createRenderer, lumaPlane, renderClean, renderFrame, renderShot } from "../support/render.ts";
import { capsule, type Layer, roundedBox, type Scene } from "../support/scene.ts";
import type { Motion, Point } from "../support/similarity.ts";
import { reduceToLuma } from "../../src/decode/reduce.ts";
import { encodeToByte } from "../support/expose.ts";
import { decodeSrgb, encodeSrgb } from "../support/srgb.ts";
import { TEXTURES } from "../support/texture.ts";

const flat = { texture: () => 0, contrast: 0, brightness: 0.18 };

const sceneOf = (more: Partial<Scene>): Scene => ({
  name: "hive_010",
  width: 90,
  height: 70,
  fps: 24,
  seed: 11,
  background: flat,
  layers: [],
  blur: 0.7,
  noise: null,
  jpegQuality: null,
  ...more,
});

/** A bright blob with a standard deviation of 4 px on a black ground; nothing else in the picture. */
const blobScene = (at: Point, more: Partial<Scene> & { readonly motion?: (frame: number) => Motion }): Scene => {
  const { motion, ...rest } = more;
  const blob: Layer = {
    id: "blob",
    outline: [
      [-500, -500],
      [500, -500],
      [500, 500],
      [-500, 500],
    ],
    texture: (u, v) => Math.exp(-((u - at[0]) ** 2 + (v - at[1]) ** 2) / 32),
    contrast: 1e9,
    brightness: 5e-10,
    ...(motion ? { motion } : {}),
  };
  return sceneOf({ layers: [blob], ...rest });
};

const centroid = (scene: Scene, frame: number): Point => {
  const plane = renderClean(scene, frame).planes[0];
  let total = 0;
  let x = 0;
  let y = 0;
  for (let i = 0; i < plane.data.length; i++) {
    total += plane.data[i];
    x += plane.data[i] * ((i % plane.width) + 0.5);
    y += plane.data[i] * (Math.floor(i / plane.width) + 0.5);
  }
  return [x / total, y / total];
};

test("the centroid of a blob moves by just what the scene says, and is where it was put", () => {
  for (const [dx, dy] of [
    [0.37, 0],
    [0, -0.21],
    [0.013, 0.008],
    [3.5, -1.25],
  ]) {
    const scene = blobScene([44.3, 35.9], { motion: (frame) => (frame === 1 ? {} : { dx, dy }) });
    const before = centroid(scene, 1);
    const after = centroid(scene, 2);
    expect(Math.abs(before[0] - 44.3)).toBeLessThan(1e-3);
    expect(Math.abs(before[1] - 35.9)).toBeLessThan(1e-3);
    expect(Math.abs(after[0] - before[0] - dx)).toBeLessThan(1e-4);
    expect(Math.abs(after[1] - before[1] - dy)).toBeLessThan(1e-4);
  }
});

test("a positive turn goes from x towards y: what is right of the pivot goes down", () => {
  const scene = blobScene([60, 35], { motion: (frame) => (frame === 1 ? {} : { turn: 0.1, pivot: [40, 35] }) });
  const [x, y] = centroid(scene, 2);
  expect(Math.abs(x - (40 + 20 * Math.cos(0.1)))).toBeLessThan(1e-3);
  expect(Math.abs(y - (35 + 20 * Math.sin(0.1)))).toBeLessThan(1e-3);
});

test("the camera turns and scales about the frame's centre, and shifts everything", () => {
  const camera = (frame: number): Motion => (frame === 1 ? {} : { dx: 0.4, dy: -0.3, turn: -0.05, scale: 1.02 });
  const [x, y] = centroid(blobScene([60, 35], { camera }), 2);
  expect(Math.abs(x - (45 + 0.4 + 1.02 * 15 * Math.cos(-0.05)))).toBeLessThan(1e-3);
  expect(Math.abs(y - (35 - 0.3 + 1.02 * 15 * Math.sin(-0.05)))).toBeLessThan(1e-3);
});

test("a frame moved by 0.37 px is the shifted texture itself, filtered as a lens and a pixel filter it", () => {
  const texture = TEXTURES.woven.make(5);
  const background = { texture, contrast: 0.2, brightness: 0.3 };
  const [dx, dy] = [0.37, -0.62];
  const scene = sceneOf({ background, blur: 0.8, camera: (frame) => (frame === 1 ? {} : { dx, dy }) });
  const plane = renderClean(scene, 2).planes[0];
  // Written out apart from the renderer: sixteen samples a pixel, then a Gaussian over 9 x 9 pixels.
  const pixel = (col: number, row: number): number => {
    let sum = 0;
    for (let i = 0; i < 16; i++) {
      const x = col + ((i % 4) + 0.5) / 4 - dx;
      const y = row + (Math.floor(i / 4) + 0.5) / 4 - dy;
      sum += 0.3 * (1 + 0.2 * texture(x, y));
    }
    return sum / 16;
  };
  for (const [col, row] of [
    [0, 0],
    [40, 33],
    [41, 33],
    [89, 69],
    [17, 0],
  ]) {
    let sum = 0;
    let weights = 0;
    for (let j = -4; j <= 4; j++) {
      for (let i = -4; i <= 4; i++) {
        const weight = Math.exp(-(i * i + j * j) / (2 * 0.8 * 0.8));
        sum += weight * pixel(col + i, row + j);
        weights += weight;
      }
    }
    expect(Math.abs(plane.data[row * 90 + col] - sum / weights)).toBeLessThan(1e-6);
  }
});

test("a frame moved by whole pixels is the same frame, elsewhere", () => {
  const background = { texture: TEXTURES.skin.make(2), contrast: 0.1, brightness: 0.3 };
  const scene = sceneOf({ background, camera: (frame) => ({ dx: 3 * (frame - 1), dy: -2 * (frame - 1) }) });
  const [one] = renderClean(scene, 1).planes;
  const [two] = renderClean(scene, 2).planes;
  for (let y = 0; y < 60; y++) {
    for (let x = 10; x < 90; x++) expect(two.data[y * 90 + x]).toBeCloseTo(one.data[(y + 2) * 90 + x - 3], 6);
  }
});

test("an edge between two layers mixes in linear light by the share that is covered", () => {
  const layer: Layer = {
    id: "a",
    ...flat,
    brightness: 0.8,
    outline: [
      [20.3, -50],
      [400, -50],
      [400, 400],
      [20.3, 400],
    ],
  };
  const plane = renderClean(sceneOf({ layers: [layer], blur: 0 }), 1).planes[0];
  expect(plane.data[35 * 90 + 19]).toBeCloseTo(0.18, 6);
  expect(plane.data[35 * 90 + 20]).toBeCloseTo(0.18 * 0.3 + 0.8 * 0.7, 6);
  expect(plane.data[35 * 90 + 21]).toBeCloseTo(0.8, 6);
});

test("the later layer is in front", () => {
  const outline: Point[] = [
    [10, 10],
    [50, 10],
    [50, 50],
    [10, 50],
  ];
  const back: Layer = { id: "back", ...flat, brightness: 0.5, outline };
  const front: Layer = {
    id: "front",
    ...flat,
    brightness: 0.1,
    outline: outline.map(([x, y]) => [x + 20, y] as const),
  };
  const plane = renderClean(sceneOf({ layers: [back, front], blur: 0 }), 1).planes[0];
  expect(plane.data[30 * 90 + 40]).toBeCloseTo(0.1, 6);
  expect(plane.data[30 * 90 + 20]).toBeCloseTo(0.5, 6);
});

test("material that crawls moves inside an outline that stays", () => {
  const outline = roundedBox([45, 35], 60, 50);
  const texture = TEXTURES.speckle.make(3);
  const surface = { id: "cloth", outline, texture, contrast: 0.2, brightness: 0.3 };
  const crawling = sceneOf({ layers: [{ ...surface, crawl: (_u, _v, frame) => [0.4 * (frame - 1), 0] }] });
  const shifted = sceneOf({ layers: [{ ...surface, texture: (u, v) => texture(u - 0.4, v) }] });
  const [got] = renderClean(crawling, 2).planes;
  const [wanted] = renderClean(shifted, 2).planes;
  expect(Math.max(...got.data.map((value, i) => Math.abs(value - wanted.data[i])))).toBeLessThan(1e-6);
});

test("shading stays in its place while the material moves through it", () => {
  const shading = (x: number): number => (x < 45 ? 1 : 0.5);
  const layer: Layer = {
    id: "a",
    ...flat,
    shading,
    outline: roundedBox([45, 35], 50, 40),
    motion: (frame) => ({ dx: frame - 1 }),
  };
  const plane = renderClean(sceneOf({ layers: [layer], blur: 0 }), 4).planes[0];
  expect(plane.data[35 * 90 + 44]).toBeCloseTo(0.18, 6);
  expect(plane.data[35 * 90 + 45]).toBeCloseTo(0.09, 6);
});

test("light is gain times field times shadow; a stop doubles it", () => {
  const scene = sceneOf({
    light: (frame) =>
      frame === 1
        ? {}
        : {
            gain: 2 ** -0.25,
            gainField: (x) => 1 + x / 900,
            shadow: { across: [1, 0], edge: 45, softness: 10, depth: 0.4 },
          },
  });
  const [one] = renderClean(scene, 1).planes;
  const [two] = renderClean(scene, 2).planes;
  const ratio = (x: number): number => two.data[35 * 90 + x] / one.data[35 * 90 + x];
  expect(Math.log2(ratio(80) / (1 + 80.5 / 900))).toBeCloseTo(-0.25, 5);
  expect(ratio(10)).toBeCloseTo(2 ** -0.25 * (1 + 10.5 / 900) * 0.6, 5);
  expect(ratio(44) / ratio(80)).toBeLessThan(0.9);
});

test("a gain shows in the quantised frame too", () => {
  const scene = sceneOf({ bits: 16, light: (frame) => ({ gain: 2 ** (0.1 * (frame - 1)) }) });
  const { planes } = renderShot(scene, 2);
  expect(Math.log2(planes[1].data[3000] / planes[0].data[3000])).toBeCloseTo(0.1, 3);
});

test.each([0.5, 1, 2])("noise has the strength that was asked for: sigma %d of 255 at mid grey", (sigma8) => {
  for (const poissonShare of [0, 0.7, 1]) {
    const scene = sceneOf({ width: 200, height: 200, bits: 16, noise: { sigma8, poissonShare } });
    const { pixels } = renderFrame(scene, 1);
    const values = Array.from(pixels, (value) => (value / 65535) * 255);
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    const sigma = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
    expect(mean).toBeCloseTo(255 * encodeSrgb(0.18), 1);
    // 40,000 pixels: the estimate's own standard deviation is 0.35 %.
    expect(Math.abs(sigma / sigma8 - 1)).toBeLessThan(0.015);
  }
});

test("photon noise falls with the light, the rest doesn't", () => {
  const varianceAt = (brightness: number, poissonShare: number): number => {
    const background = { ...flat, brightness };
    const scene = sceneOf({ width: 200, height: 200, bits: 16, background, noise: { sigma8: 1, poissonShare } });
    const { data } = lumaPlane(renderFrame(scene, 1));
    const mean = data.reduce((sum, value) => sum + value, 0) / data.length;
    return data.reduce((sum, value) => sum + (value - mean) ** 2, 0) / data.length;
  };
  expect(varianceAt(0.09, 1) / varianceAt(0.36, 1)).toBeCloseTo(0.25, 1);
  expect(varianceAt(0.09, 0) / varianceAt(0.36, 0)).toBeCloseTo(1, 1);
  expect(varianceAt(0.36, 0.5) / varianceAt(0.18, 0.5)).toBeCloseTo(1.5, 1);
});

test("noise is fresh in each frame and unrelated from pixel to pixel", () => {
  const { frames } = renderShot(sceneOf({ bits: 16, noise: { sigma8: 1, poissonShare: 0.5 } }), 2);
  const mean = 65535 * encodeSrgb(0.18);
  const correlation = (a: ArrayLike<number>, b: ArrayLike<number>, lag: number): number => {
    let product = 0;
    let square = 0;
    for (let i = 0; i + lag < a.length; i++) {
      product += (a[i] - mean) * (b[i + lag] - mean);
      square += (a[i] - mean) ** 2;
    }
    return product / square;
  };
  const [one, two] = frames.map((frame) => frame.pixels);
  expect(Math.abs(correlation(one, two, 0))).toBeLessThan(0.05);
  expect(Math.abs(correlation(one, one, 1))).toBeLessThan(0.05);
  expect(Math.abs(correlation(one, one, 90))).toBeLessThan(0.05);
});

test("sRGB agrees with IEC 61966-2-1 at levels worked out elsewhere", () => {
  // IEC 61966-2-1: 8-bit 10, 11, 118, 128, 188 as linear light.
  const table = [
    [10, 0.00303527],
    [11, 0.00334654],
    [118, 0.18116424],
    [128, 0.2158605],
    [188, 0.50288646],
  ] as const;
  for (const [encoded, linear] of table) {
    expect(decodeSrgb(encoded / 255)).toBeCloseTo(linear, 7);
    expect(encodeSrgb(linear) * 255).toBeCloseTo(encoded, 3);
  }
});

test("a byte looked up is the rounded value of the formula", () => {
  const differing: number[] = [];
  for (let i = -50; i <= 100050; i++)
    if (encodeToByte(i / 100000) !== Math.round(encodeSrgb(i / 100000) * 255)) differing.push(i);
  for (let byte = 0; byte < 256; byte++) if (encodeToByte(decodeSrgb(byte / 255)) !== byte) differing.push(byte);
  expect(differing).toEqual([]);
});

/** Everything at once: what moves, crawls, comes and goes, a camera that is knocked, a lens that goes soft. */
const busyScene = (seed: number): Scene => ({
  name: "hive_010",
  width: 160,
  height: 120,
  fps: 24,
  seed,
  background: { texture: TEXTURES.plaster.make(seed), contrast: 0.1, brightness: 0.2 },
  layers: [
    {
      id: "still",
      outline: roundedBox([50, 50], 50, 40),
      texture: TEXTURES.woven.make(seed + 1),
      contrast: 0.2,
      brightness: 0.3,
      shading: (x) => 1 - x / 400,
    },
    {
      id: "cloth",
      outline: roundedBox([110, 60], 50, 60),
      holes: [capsule([110, 60], [110, 60], 9)],
      texture: TEXTURES.hair.make(seed + 2),
      contrast: 0.2,
      brightness: 0.25,
      crawl: (u, v, frame) => [0.1 * (frame - 1) * Math.exp(-((u - 110) ** 2 + (v - 60) ** 2) / 300), 0],
    },
    {
      id: "arm",
      outline: capsule([20, 100], [60, 70], 8),
      texture: TEXTURES.skin.make(seed + 3),
      contrast: 0.07,
      brightness: 0.4,
      motion: (frame) => ({ dx: 9 * (frame - 1), turn: 0.1 * (frame - 1), pivot: [20, 100] }),
    },
    {
      id: "stray",
      outline: capsule([140, 20], [140, 30], 5),
      ...flat,
      shown: (frame) => frame === 3,
    },
  ],
  camera: (frame) => (frame < 5 ? {} : { dx: 0.3, turn: 0.001 }),
  light: (frame) => ({ gain: 1 + 0.001 * frame }),
  blur: (frame) => (frame === 6 ? 1.4 : 0.7),
  noise: { sigma8: 1, poissonShare: 0.7 },
  jpegQuality: 92,
});

const bytesOf = (data: ArrayBufferView): Uint8Array => new Uint8Array(data.buffer, data.byteOffset, data.byteLength);

test("frames drawn with what was kept from the last are the same to the bit as frames drawn from nothing", () => {
  const scene = busyScene(4);
  const renderer = createRenderer(scene);
  for (const frame of [1, 2, 3, 4, 5, 6, 7, 3, 1]) {
    expect(
      Buffer.compare(bytesOf(renderer.frame(frame).pixels), bytesOf(renderFrame(scene, frame).pixels)),
      `frame ${frame}`,
    ).toBe(0);
  }
  const kept = createRenderer(scene);
  for (const frame of [1, 2, 3, 4]) {
    const drawn = kept.clean(frame);
    const wanted = renderClean(scene, frame);
    expect(Buffer.compare(bytesOf(drawn.planes[0].data), bytesOf(wanted.planes[0].data)), `frame ${frame}`).toBe(0);
    expect(drawn.truth).toEqual(wanted.truth);
  }
});

test("the same seed gives the same bytes, another seed others", () => {
  const first = renderShot(busyScene(4), 2);
  const again = renderShot(busyScene(4), 2);
  const other = renderShot({ ...busyScene(4), seed: 5 }, 2);
  for (const i of [0, 1])
    expect(Buffer.compare(bytesOf(again.frames[i].pixels), bytesOf(first.frames[i].pixels))).toBe(0);
  expect(Buffer.compare(bytesOf(other.frames[0].pixels), bytesOf(first.frames[0].pixels))).not.toBe(0);
});

test("a layer that is not shown isn't there", () => {
  const [before, shown] = [2, 3].map((frame) => renderClean({ ...busyScene(4), light: () => ({}) }, frame).planes[0]);
  expect(shown.data[25 * 160 + 140]).toBeCloseTo(0.18, 4);
  expect(before.data[25 * 160 + 140]).not.toBeCloseTo(0.18, 4);
});

test("a colour picture has the luma of the grey one, and the tint's own ratios", () => {
  const scene = sceneOf({ background: { ...flat, tint: [1, 0.5, 0.25] }, bits: 16 });
  const grey = renderFrame(scene, 1);
  const colour = renderFrame({ ...scene, colour: true }, 1);
  expect(colour.channels).toBe(3);
  expect(lumaPlane(colour).data[1234]).toBeCloseTo(lumaPlane(grey).data[1234], 4);
  const [red, green, blue] = Array.from(colour.pixels.subarray(300, 303), (value) => decodeSrgb(value / 65535));
  expect(green / red).toBeCloseTo(0.5, 3);
  expect(blue / red).toBeCloseTo(0.25, 3);
});

test("the planes are what the product's own decoder gives for such pixels", () => {
  for (const colour of [false, true]) {
    const background = { texture: TEXTURES.skin.make(2), contrast: 0.1, brightness: 0.3, tint: [1, 0.7, 0.5] as const };
    const rendered = renderFrame(sceneOf({ colour, background, noise: { sigma8: 1, poissonShare: 0.7 } }), 1);
    const { width, height, channels, bits, pixels: data } = rendered;
    const decoded = reduceToLuma({ width, height, channels, bits, data }, width);
    const plane = lumaPlane(rendered);
    expect(Math.max(...plane.data.map((value, i) => Math.abs(value - decoded.data[i])))).toBeLessThan(1e-7);
  }
});

test("a crawl that folds the material is refused", () => {
  const layer: Layer = { id: "a", ...flat, outline: roundedBox([45, 35], 20, 20), crawl: (u) => [1.5 * (u - 45), 0] };
  expect(() => renderClean(sceneOf({ layers: [layer] }), 1)).toThrow(/folds the material/);
});
