import type { Plane } from "../../src/measure/plane.ts";
import { createRandom } from "./random.ts";
import type { Noise, Scene } from "./scene.ts";
import { decodeSrgb, encodeSrgb, MID_GREY, slopeOfSrgb } from "./srgb.ts";

// What the camera does: photon and read noise in linear light (the model of EMVA 1288), sRGB, whole steps.

/** Variance of linear light at a level of linear light, noise as the scene asks for it. */
export function noiseVariance(noise: Noise | null, level: number): number {
  if (noise === null) return 0;
  const atMidGrey = (noise.sigma8 / 255 / slopeOfSrgb(MID_GREY)) ** 2;
  return atMidGrey * (1 - noise.poissonShare + (noise.poissonShare * Math.max(0, level)) / MID_GREY);
}

/** The pixels of a frame, interleaved. Noise is drawn for each pixel and channel alone, afresh for each frame number. */
export function expose(scene: Scene, frame: number, planes: readonly Plane[]): Uint8Array | Uint16Array {
  const { width, height, noise } = scene;
  const channels = planes.length;
  const bits = scene.bits ?? 8;
  const count = width * height * channels;
  const pixels = bits === 8 ? new Uint8Array(count) : new Uint16Array(count);
  const encode = bits === 8 ? encodeToByte : (linear: number): number => Math.round(encodeSrgb(linear) * 65535);
  const random = createRandom(scene.seed, frame, 0x6e6f6973);
  const dark = noiseVariance(noise, 0);
  const darkSigma = Math.sqrt(dark);
  // Linear light that one photon makes: the variance of a count is its mean.
  const photon = noiseVariance(noise, 1) - dark;
  for (let channel = 0; channel < channels; channel++) {
    const { data } = planes[channel];
    for (let i = 0; i < data.length; i++) {
      let level = data[i];
      if (photon > 0 && level < 12 * photon) {
        level = photon * random.poisson(level / photon) + darkSigma * random.normal();
      } else if (noise !== null) {
        // One draw for both: normal, with the skewness that the photons bring (Cornish-Fisher to first order).
        const variance = photon * level + dark;
        const z = random.normal();
        level += Math.sqrt(variance) * z + ((photon * photon * level) / (6 * variance)) * (z * z - 1);
      }
      pixels[i * channels + channel] = encode(level);
    }
  }
  return pixels;
}

/** Linear light from which on each byte is the nearest. */
const byteFrom = Float64Array.from({ length: 256 }, (_, byte) => (byte === 0 ? -1 : decodeSrgb((byte - 0.5) / 255)));
const GUESSES = 4096;
/** The byte at the lower end of each of many small steps of linear light. */
const guessAt = Uint8Array.from({ length: GUESSES + 1 }, (_, i) => Math.round(encodeSrgb(i / GUESSES) * 255));

/** The same as rounding the encoded value, without its power function. */
export function encodeToByte(linear: number): number {
  if (linear <= 0) return 0;
  if (linear >= 1) return 255;
  let byte = guessAt[(linear * GUESSES) | 0];
  while (byte < 255 && linear >= byteFrom[byte + 1]) byte++;
  return byte;
}
