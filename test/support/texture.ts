import { seedOf } from "./random.ts";
import { type Field, normalised, type Row, type RowField, scratchRows, spots, valueNoise } from "./value-noise.ts";

// Continuous textures in part coordinates (px at frame 1), of mean 0 and standard deviation 1. A layer's linear
// reflectance is brightness * (1 + contrast * texture), so that `contrast` is the RMS contrast in linear light.
// Their finest detail is about 2.4 px, which a pixel's own aperture and a little lens blur keep under Nyquist.

export type Texture = Field;

export interface TextureOptions {
  /** Period of the thread, px; for the woven ones and stripes. */
  readonly period?: number;
  /** The whole pattern is turned by this, radians, from u towards v. */
  readonly angle?: number;
}

export type TextureName =
  | "woven"
  | "herringbone"
  | "stripes"
  | "hair"
  | "skin"
  | "silicone"
  | "wood"
  | "speckle"
  | "plaster";

type Maker = (seed: number, options?: TextureOptions) => RowField;

/** A weighted sum of fields. */
function mixOf(...parts: readonly (readonly [weight: number, field: RowField])[]): Row {
  const [values] = scratchRows(1);
  return (us, vs, out, count) => {
    out.fill(0, 0, count);
    for (const [weight, field] of parts) {
      field.row(us, vs, values, count);
      for (let k = 0; k < count; k++) out[k] += weight * values[k];
    }
  };
}

/** Plain weave: warp and weft pass over each other by turns; threads wander and differ in tone, fibres show. */
export const woven: Maker = (seed, options) => {
  const period = options?.period ?? 7.5;
  const frequency = Math.PI / period;
  const along = 7 * period;
  const wanderU = valueNoise(seedOf(seed, 1), period, along);
  const wanderV = valueNoise(seedOf(seed, 2), along, period);
  const toneU = valueNoise(seedOf(seed, 3), period, 1.4 * along);
  const toneV = valueNoise(seedOf(seed, 4), 1.4 * along, period);
  const fibre = valueNoise(seedOf(seed, 5), 2.4, 2.4, 0.6);
  const [wu, wv, tu, tv, fine] = scratchRows(5);
  return normalised((us, vs, out, count) => {
    wanderU.row(us, vs, wu, count);
    wanderV.row(us, vs, wv, count);
    toneU.row(us, vs, tu, count);
    toneV.row(us, vs, tv, count);
    fibre.row(us, vs, fine, count);
    for (let k = 0; k < count; k++) {
      const a = Math.cos(frequency * us[k] + 0.4 * wu[k]);
      const b = Math.cos(frequency * vs[k] + 0.4 * wv[k]);
      const over = a * b;
      const warpOnTop = 0.5 + 0.5 * over * (1.5 - 0.5 * over * over);
      const warp = a * a * (1 + 0.35 * tu[k]);
      const weft = b * b * (0.85 + 0.35 * tv[k]);
      out[k] = warpOnTop * warp + (1 - warpOnTop) * weft + 0.12 * fine[k];
    }
  }, options?.angle);
};

/** Twill whose diagonal turns round every five threads: within one band it can be measured across its lines only. */
export const herringbone: Maker = (seed, options) => {
  const period = options?.period ?? 6.5;
  const band = 5 * period;
  const tone = valueNoise(seedOf(seed, 1), 60, period);
  const wander = valueNoise(seedOf(seed, 2), 40);
  const frequency = (2 * Math.PI) / period;
  const [bent, tones] = scratchRows(2);
  return normalised((us, vs, out, count) => {
    wander.row(us, vs, bent, count);
    for (let k = 0; k < count; k++) {
      const place = us[k] / (2 * band);
      const zigzag = 2 * band * Math.abs(place - Math.floor(place + 0.5));
      bent[k] = vs[k] + zigzag + 0.1 * period * bent[k];
    }
    tone.row(us, bent, tones, count);
    for (let k = 0; k < count; k++) {
      const line = Math.cos(frequency * bent[k]);
      out[k] = line * (1 + 0.25 * line) + 0.3 * tones[k];
    }
  }, options?.angle);
};

/** Stripes along v, no two alike: strictly a function of u (turned by `angle`). Nothing along them can be measured. */
export const stripes: Maker = (seed, options) => {
  const period = options?.period ?? 8;
  const broad = valueNoise(seedOf(seed, 1), 11);
  const fine = valueNoise(seedOf(seed, 2), 3);
  const frequency = (2 * Math.PI) / period;
  const [zero, wide, narrow] = scratchRows(3);
  return normalised((us, _vs, out, count) => {
    broad.row(us, zero, wide, count);
    fine.row(us, zero, narrow, count);
    for (let k = 0; k < count; k++) out[k] = Math.cos(frequency * us[k]) + 0.6 * wide[k] + 0.3 * narrow[k];
  }, options?.angle);
};

/** Long streaks, bent a little: twenty times as much detail across (u) as along (v). */
export const hair: Maker = (seed, options) => {
  const bend = valueNoise(seedOf(seed, 1), 140, 110);
  const strands = mixOf(
    [1, valueNoise(seedOf(seed, 2), 2.6, 55)],
    [0.8, valueNoise(seedOf(seed, 3), 5.3, 110)],
    [0.7, valueNoise(seedOf(seed, 4), 14, 260)],
  );
  const [bent] = scratchRows(1);
  return normalised((us, vs, out, count) => {
    bend.row(us, vs, bent, count);
    for (let k = 0; k < count; k++) bent[k] = us[k] + 7 * bent[k];
    strands(bent, vs, out, count);
  }, options?.angle);
};

/** Painted skin: mottling in three sizes, pores, freckles. */
export const skin: Maker = (seed, options) =>
  normalised(
    mixOf(
      [0.8, valueNoise(seedOf(seed, 1), 26, 26, 0.3)],
      [0.7, valueNoise(seedOf(seed, 2), 11, 11, 1.1)],
      [0.5, valueNoise(seedOf(seed, 3), 5, 5, 0.7)],
      [0.3, valueNoise(seedOf(seed, 4), 2.6, 2.6, 0.2)],
      [-1.2, spots(seedOf(seed, 5), 13, 0.4, 2.6, 5.2)],
    ),
    options?.angle,
  );

/** Near-bare silicone: broad faint mottling, next to nothing fine. */
export const silicone: Maker = (seed, options) =>
  normalised(
    mixOf(
      [1, valueNoise(seedOf(seed, 1), 42, 42, 0.4)],
      [0.6, valueNoise(seedOf(seed, 2), 17, 17, 1)],
      [0.25, valueNoise(seedOf(seed, 3), 6, 6, 0.2)],
    ),
    options?.angle,
  );

/** Planed wood, grain along u. */
export const wood: Maker = (seed, options) => {
  const flow = valueNoise(seedOf(seed, 1), 190, 60);
  const grain = mixOf([0.7, valueNoise(seedOf(seed, 2), 48, 4.2)], [0.4, valueNoise(seedOf(seed, 3), 15, 2.4)]);
  const fleck = valueNoise(seedOf(seed, 4), 5, 3);
  const [bent, flecks] = scratchRows(2);
  return normalised((us, vs, out, count) => {
    flow.row(us, vs, bent, count);
    for (let k = 0; k < count; k++) bent[k] = vs[k] + 14 * bent[k];
    grain(us, bent, out, count);
    fleck.row(us, vs, flecks, count);
    for (let k = 0; k < count; k++) {
      const ring = Math.sin(0.24 * bent[k]);
      out[k] += 0.6 * ring * ring * ring + 0.25 * flecks[k];
    }
  }, options?.angle);
};

/** Isotropic fine speckle: the easiest thing there is to measure on. */
export const speckle: Maker = (seed, options) =>
  normalised(
    mixOf([1, valueNoise(seedOf(seed, 1), 2.6, 2.6, 0.35)], [1, valueNoise(seedOf(seed, 2), 4.7, 4.7, 1.15)]),
    options?.angle,
  );

/** Rough plaster: detail of every size alike. */
export const plaster: Maker = (seed, options) =>
  normalised(
    mixOf(
      [0.7, valueNoise(seedOf(seed, 1), 2.6, 2.6, 0.2)],
      [0.8, valueNoise(seedOf(seed, 2), 5.2, 5.2, 0.6)],
      [1, valueNoise(seedOf(seed, 3), 12, 12, 1)],
      [1, valueNoise(seedOf(seed, 4), 31, 31, 1.4)],
    ),
    options?.angle,
  );

/** Every texture with the RMS contrast in linear light that such a surface has under a soft key. */
export const TEXTURES: Readonly<Record<TextureName, { readonly make: Maker; readonly contrast: number }>> = {
  woven: { make: woven, contrast: 0.2 },
  herringbone: { make: herringbone, contrast: 0.2 },
  stripes: { make: stripes, contrast: 0.22 },
  hair: { make: hair, contrast: 0.25 },
  skin: { make: skin, contrast: 0.07 },
  silicone: { make: silicone, contrast: 0.015 },
  wood: { make: wood, contrast: 0.16 },
  speckle: { make: speckle, contrast: 0.2 },
  plaster: { make: plaster, contrast: 0.1 },
};
