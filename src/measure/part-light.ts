import type { PartTemplate } from "./part-template.ts";

// Light that changed unevenly over a part: a shadow's soft edge lies on it. A gain a tile can't hold an edge, and what it
// leaves over is taken for a shift. So the gain becomes a smooth field, a cubic B-spline surface through what the frame
// shows over what the template shows, and what such a field could explain comes off the template's gradient too: it
// says nothing of where the part is.

/** Distance of the surface's knots, px: softer than any texture that measures, sharper than a usual shadow's edge. */
const KNOTS = 18;
/** And at most so many of them across a part. */
const MOST_KNOTS = 12;
/** Pull towards an even gain, as a share of a usual knot's own weight: only what no pixel tells is moved by it. */
const PULL = 1e-3;

/**
 * Where the pixels of a template lie on the surface; the same whatever light falls on it. A run is pixels of one row over
 * one span of the surface: they share all but their B-splines along x.
 */
interface Ground {
  readonly across: number;
  readonly size: number;
  /** Of each pixel: the four cubic B-splines along x. */
  readonly basisX: Float32Array;
  /** Of each run: its first pixel (and the end after the last one), its first coefficient, the B-splines along y. */
  readonly runs: Uint32Array;
  readonly first: Uint16Array;
  readonly basisY: Float32Array;
  /** Room for a value a pixel. */
  readonly values: Float64Array;
}

const grounds = new WeakMap<PartTemplate, Ground>();

function groundOf(template: PartTemplate): Ground {
  const known = grounds.get(template);
  if (known !== undefined) return known;
  const { count, x, y } = template;
  let [left, right, top, bottom] = [x[0], x[0], y[0], y[0]];
  for (let i = 1; i < count; i++) {
    left = Math.min(left, x[i]);
    right = Math.max(right, x[i]);
    top = Math.min(top, y[i]);
    bottom = Math.max(bottom, y[i]);
  }
  const spans = (length: number): number => Math.min(MOST_KNOTS, Math.max(1, Math.round(length / KNOTS)));
  const [nx, ny] = [spans(right - left + 1), spans(bottom - top + 1)];
  const across = nx + 3;
  const basisX = new Float32Array(4 * count);
  const runs: number[] = [];
  const first: number[] = [];
  const rows: number[] = [];
  for (let i = 0; i < count; i++) {
    const px = ((x[i] - left + 0.5) * nx) / (right - left + 1);
    const py = ((y[i] - top + 0.5) * ny) / (bottom - top + 1);
    const [ix, iy] = [Math.floor(px), Math.floor(py)];
    const at = iy * across + ix;
    cubicBasis(px - ix, basisX, 4 * i);
    if (runs.length > 0 && at === first[first.length - 1] && y[i] === y[i - 1]) continue;
    runs.push(i);
    first.push(at);
    rows.push(py - iy);
  }
  const basisY = new Float32Array(4 * runs.length);
  rows.forEach((f, k) => cubicBasis(f, basisY, 4 * k));
  runs.push(count);
  const made = {
    across,
    size: across * (ny + 3),
    basisX,
    runs: Uint32Array.from(runs),
    first: Uint16Array.from(first),
    basisY,
    values: new Float64Array(count),
  };
  grounds.set(template, made);
  return made;
}

/** A smooth gain over the pixels of one template. */
export class PartLight {
  /** The template with what a smooth gain can explain taken out of its gradient. */
  readonly template: PartTemplate;
  private readonly base: PartTemplate;
  private readonly ground: Ground;
  /** Lower Cholesky factor of the normal equations, row-major. */
  private readonly factor: Float64Array;
  /** Pixels that the field is fitted to. */
  private readonly use: Uint8Array;
  private readonly right: Float64Array;
  /** Largest less smallest gain over the pixels that the field was last fitted to, share of the even gain. */
  spread = 0;

  /** @param trusted 1 for each tile that shows the part; in the others the field is carried on */
  constructor(
    template: PartTemplate,
    private readonly trusted: Uint8Array,
  ) {
    const { t, tile } = template;
    this.base = template;
    this.ground = groundOf(template);
    this.use = new Uint8Array(template.count);
    this.right = new Float64Array(this.ground.size);
    for (let i = 0; i < this.use.length; i++) this.use[i] = trusted[tile[i]];
    this.factor = this.normal();
    factorise(this.factor, this.ground.size);
    const free = (gradient: Float32Array): Float32Array => {
      const field = this.atPixels(this.fit(gradient, 0));
      return gradient.map((g, i) => g - t[i] * field[i]);
    };
    this.template = { ...template, gx: free(template.gx), gy: free(template.gy) };
  }

  /** Whether it was made for this template with these tiles to be trusted. */
  isFor(template: PartTemplate, trusted: Uint8Array): boolean {
    return this.base === template && this.trusted.every((one, k) => one === trusted[k]);
  }

  /**
   * A pixel's weight on a coefficient is a product, one factor along x and one along y, and a run of pixels shares the
   * second: so sums over a run are taken along x first.
   */
  private normal(): Float64Array {
    const { size, first, basisX, basisY, across, runs } = this.ground;
    const { t } = this.base;
    const { use } = this;
    const normal = new Float64Array(size * size);
    for (let run = 0; run < first.length; run++) {
      let [m00, m10, m11, m20, m21, m22, m30, m31, m32, m33] = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
      for (let i = runs[run], end = runs[run + 1]; i < end; i++) {
        if (use[i] === 0) continue;
        const square = t[i] * t[i];
        const [b0, b1, b2, b3] = [basisX[4 * i], basisX[4 * i + 1], basisX[4 * i + 2], basisX[4 * i + 3]];
        const [w0, w1, w2, w3] = [square * b0, square * b1, square * b2, square * b3];
        m00 += w0 * b0;
        m10 += w1 * b0;
        m11 += w1 * b1;
        m20 += w2 * b0;
        m21 += w2 * b1;
        m22 += w2 * b2;
        m30 += w3 * b0;
        m31 += w3 * b1;
        m32 += w3 * b2;
        m33 += w3 * b3;
      }
      for (let q = 0; q < 4; q++)
        for (let r = 0; r <= q; r++) {
          const both = basisY[4 * run + q] * basisY[4 * run + r];
          const row = (first[run] + q * across) * size + first[run] + r * across;
          add4(normal, row, both, m00, m10, m20, m30);
          add4(normal, row + size, both, m10, m11, m21, m31);
          add4(normal, row + 2 * size, both, m20, m21, m22, m32);
          add4(normal, row + 3 * size, both, m30, m31, m32, m33);
        }
    }
    let trace = 0;
    for (let k = 0; k < size; k++) trace += normal[k * size + k] / size;
    for (let k = 0; k < size; k++) normal[k * size + k] = normal[k * size + k] + PULL * Math.max(trace, 1e-6);
    return normal;
  }

  /** Coefficients of the field f for which f times the template is nearest to the values; pulled towards `even`. */
  private fit(values: Float32Array, even: number): Float64Array {
    const { size, first, basisX, basisY, across, runs } = this.ground;
    const { t } = this.base;
    const { use, right, factor } = this;
    right.fill(0);
    for (let run = 0; run < first.length; run++) {
      let [s0, s1, s2, s3] = [0, 0, 0, 0];
      for (let i = runs[run], end = runs[run + 1]; i < end; i++) {
        const value = (values[i] - even * t[i]) * t[i];
        if (use[i] === 0 || value !== value) continue;
        s0 += value * basisX[4 * i];
        s1 += value * basisX[4 * i + 1];
        s2 += value * basisX[4 * i + 2];
        s3 += value * basisX[4 * i + 3];
      }
      for (let q = 0; q < 4; q++) add4(right, first[run] + q * across, basisY[4 * run + q], s0, s1, s2, s3);
    }
    for (let r = 0; r < size; r++) {
      let sum = right[r];
      for (let c = 0; c < r; c++) sum -= factor[r * size + c] * right[c];
      right[r] = sum / factor[r * size + r];
    }
    for (let r = size - 1; r >= 0; r--) {
      let sum = right[r];
      for (let c = r + 1; c < size; c++) sum -= factor[c * size + r] * right[c];
      right[r] = sum / factor[r * size + r];
    }
    return right;
  }

  /** The field at every pixel; good until the next one. */
  private atPixels(field: Float64Array): Float64Array {
    const { first, basisX, basisY, across, runs, values } = this.ground;
    for (let run = 0; run < first.length; run++) {
      let [c0, c1, c2, c3] = [0, 0, 0, 0];
      for (let q = 0; q < 4; q++) {
        const row = first[run] + q * across;
        const b = basisY[4 * run + q];
        c0 += b * field[row];
        c1 += b * field[row + 1];
        c2 += b * field[row + 2];
        c3 += b * field[row + 3];
      }
      for (let i = runs[run], end = runs[run + 1]; i < end; i++)
        values[i] = basisX[4 * i] * c0 + basisX[4 * i + 1] * c1 + basisX[4 * i + 2] * c2 + basisX[4 * i + 3] * c3;
    }
    return values;
  }

  /** Takes the uneven light out of the frame's samples, in place. */
  flatten(sampled: Float32Array): void {
    const { count, t } = this.base;
    let [shown, own] = [0, 0];
    for (let i = 0; i < count; i++) {
      if (this.use[i] === 0 || sampled[i] !== sampled[i]) continue;
      shown += sampled[i] * t[i];
      own += t[i] * t[i];
    }
    if (!(own > 0) || !(shown > 0)) return;
    const even = shown / own;
    const field = this.atPixels(this.fit(sampled, even));
    let [least, most] = [0, 0];
    for (let i = 0; i < count; i++) {
      const gain = even + field[i];
      if (this.use[i] === 1) {
        least = Math.min(least, field[i]);
        most = Math.max(most, field[i]);
      }
      sampled[i] = gain > LEAST_GAIN ? sampled[i] / gain : Number.NaN;
    }
    this.spread = (most - least) / even;
  }
}

function add4(into: Float64Array, at: number, by: number, a: number, b: number, c: number, d: number): void {
  into[at] = into[at] + by * a;
  into[at + 1] = into[at + 1] + by * b;
  into[at + 2] = into[at + 2] + by * c;
  into[at + 3] = into[at + 3] + by * d;
}

/** A field below this has run away. */
const LEAST_GAIN = 0.05;

/** The four cubic B-splines over a span, at 0 to 1 of it. */
function cubicBasis(f: number, into: Float32Array, at: number): void {
  const g = 1 - f;
  into[at] = (g * g * g) / 6;
  into[at + 1] = 2 / 3 - f * f * (1 - f / 2);
  into[at + 2] = 2 / 3 - g * g * (1 - g / 2);
  into[at + 3] = (f * f * f) / 6;
}

/** Cholesky's factor in place of the lower triangle. */
function factorise(a: Float64Array, n: number): void {
  for (let r = 0; r < n; r++)
    for (let c = 0; c <= r; c++) {
      let sum = a[r * n + c];
      for (let k = 0; k < c; k++) sum -= a[r * n + k] * a[c * n + k];
      a[r * n + c] = r === c ? Math.sqrt(Math.max(1e-12, sum)) : sum / a[c * n + c];
    }
}
