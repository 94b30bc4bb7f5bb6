import { nearestIn } from "./distance.ts";

/** From this depth on, px, a hole is filled smoothly alone; nearer its rim with some of what lies mirrored across it. */
const DEPTH = 32;
/** Share of the mirrored at the rim: whole shapes twice would look like things. */
const MIRRORED = 0.6;

/**
 * Fills what isn't known of a rectangle plausibly, in place: the surroundings mirrored across the hole's rim, which
 * carries their texture in, going over into a smooth filling from all sides (push and pull, after Gortler et al. 1996,
 * "The Lumigraph") where the hole is deep. Nothing is done where nothing is known.
 * @param values interleaved, row-major
 * @param known 1 where a pixel is known
 */
export function inpaint(values: Float32Array, known: Uint8Array, width: number, height: number, colours: number): void {
  if (!known.includes(1) || !known.includes(0)) return;
  const smooth = pushPull(values, known, width, height, colours);
  const { distance, index } = nearestIn(known, width, height);
  const filled = values.slice();
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = y * width + x;
      if (known[at] === 1) continue;
      const near = index[at];
      const [mx, my] = [2 * (near % width) - x, 2 * Math.floor(near / width) - y];
      const inside = mx >= 0 && my >= 0 && mx < width && my < height && known[my * width + mx] === 1;
      const share = inside ? MIRRORED * Math.max(0, 1 - distance[at] / DEPTH) : 0;
      const from = inside ? (my * width + mx) * colours : 0;
      for (let c = 0; c < colours; c++)
        filled[at * colours + c] = share * values[from + c] + (1 - share) * smooth[at * colours + c];
    }
  }
  values.set(filled);
}

/** A smooth filling: means of what is known, halved until all is, and brought back up. */
function pushPull(
  values: Float32Array,
  known: Uint8Array,
  width: number,
  height: number,
  colours: number,
): Float32Array {
  const [w, h] = [(width + 1) >> 1, (height + 1) >> 1];
  const out = values.slice();
  if (width === 1 && height === 1) return out;
  const half = new Float32Array(w * h * colours);
  const halfKnown = new Uint8Array(w * h);
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      let count = 0;
      const to = (y * w + x) * colours;
      for (let v = 2 * y; v < Math.min(height, 2 * y + 2); v++) {
        for (let u = 2 * x; u < Math.min(width, 2 * x + 2); u++) {
          if (known[v * width + u] !== 1) continue;
          count += 1;
          for (let c = 0; c < colours; c++) half[to + c] += values[(v * width + u) * colours + c];
        }
      }
      if (count === 0) continue;
      halfKnown[y * w + x] = 1;
      for (let c = 0; c < colours; c++) half[to + c] /= count;
    }
  }
  const below = halfKnown.includes(0) ? pushPull(half, halfKnown, w, h, colours) : half;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = y * width + x;
      if (known[at] === 1) continue;
      // Bilinear between the halves' middles.
      const [u, v] = [Math.max(0, (x - 0.5) / 2), Math.max(0, (y - 0.5) / 2)];
      const [i, j] = [Math.min(w - 1, Math.floor(u)), Math.min(h - 1, Math.floor(v))];
      const [i1, j1] = [Math.min(w - 1, i + 1), Math.min(h - 1, j + 1)];
      const [f, g] = [u - i, v - j];
      for (let c = 0; c < colours; c++) {
        const a = below[(j * w + i) * colours + c];
        const b = below[(j * w + i1) * colours + c];
        const d = below[(j1 * w + i) * colours + c];
        const e = below[(j1 * w + i1) * colours + c];
        out[at * colours + c] = (1 - g) * ((1 - f) * a + f * b) + g * ((1 - f) * d + f * e);
      }
    }
  }
  return out;
}
