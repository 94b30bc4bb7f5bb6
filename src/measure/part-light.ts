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

/** A smooth gain over the pixels of one template. */
export class PartLight {
  /** The template with what a smooth gain can explain taken out of its gradient. */
  readonly template: PartTemplate;
  private readonly base: PartTemplate;
  private readonly size: number;
  private readonly first: Uint16Array;
  private readonly basisX: Float32Array;
  private readonly basisY: Float32Array;
  private readonly across: number;
  /** Lower Cholesky factor of the normal equations, row-major. */
  private readonly factor: Float64Array;
  /** Pixels that the field is fitted to. */
  private readonly use: Uint8Array;
  private readonly right: Float64Array;

  /** @param trusted tiles that show the part; in the others the field is carried on */
  constructor(template: PartTemplate, trusted: (tile: number) => boolean) {
    const { count, x, y, t, tile } = template;
    this.base = template;
    let [left, right, top, bottom] = [x[0], x[0], y[0], y[0]];
    for (let i = 1; i < count; i++) {
      left = Math.min(left, x[i]);
      right = Math.max(right, x[i]);
      top = Math.min(top, y[i]);
      bottom = Math.max(bottom, y[i]);
    }
    const spans = (length: number): number => Math.min(MOST_KNOTS, Math.max(1, Math.round(length / KNOTS)));
    const [nx, ny] = [spans(right - left + 1), spans(bottom - top + 1)];
    this.across = nx + 3;
    this.size = this.across * (ny + 3);
    this.first = new Uint16Array(count);
    this.basisX = new Float32Array(4 * count);
    this.basisY = new Float32Array(4 * count);
    this.use = new Uint8Array(count);
    this.right = new Float64Array(this.size);
    for (let i = 0; i < count; i++) {
      const px = ((x[i] - left + 0.5) * nx) / (right - left + 1);
      const py = ((y[i] - top + 0.5) * ny) / (bottom - top + 1);
      const [ix, iy] = [Math.floor(px), Math.floor(py)];
      this.first[i] = iy * this.across + ix;
      cubicBasis(px - ix, this.basisX, 4 * i);
      cubicBasis(py - iy, this.basisY, 4 * i);
      this.use[i] = trusted(tile[i]) ? 1 : 0;
    }
    this.factor = this.normal();
    factorise(this.factor, this.size);
    const free = (gradient: Float32Array): Float32Array => {
      const field = this.fit(gradient, 0);
      return gradient.map((g, i) => g - t[i] * this.at(field, i));
    };
    this.template = { ...template, gx: free(template.gx), gy: free(template.gy) };
  }

  private normal(): Float64Array {
    const { size, first, basisX, basisY, across, use } = this;
    const { count, t } = this.base;
    const normal = new Float64Array(size * size);
    const weight = new Float64Array(16);
    const place = new Int32Array(16);
    for (let i = 0; i < count; i++) {
      if (use[i] === 0) continue;
      for (let q = 0, n = 0; q < 4; q++)
        for (let p = 0; p < 4; p++, n++) {
          weight[n] = t[i] * basisX[4 * i + p] * basisY[4 * i + q];
          place[n] = first[i] + q * across + p;
        }
      for (let a = 0; a < 16; a++)
        for (let b = 0, row = place[a] * size; b <= a; b++)
          normal[row + place[b]] = normal[row + place[b]] + weight[a] * weight[b];
    }
    let trace = 0;
    for (let k = 0; k < size; k++) trace += normal[k * size + k] / size;
    for (let k = 0; k < size; k++) normal[k * size + k] = normal[k * size + k] + PULL * Math.max(trace, 1e-6);
    return normal;
  }

  /** Coefficients of the field f for which f times the template is nearest to the values; pulled towards `even`. */
  private fit(values: Float32Array, even: number): Float64Array {
    const { size, first, basisX, basisY, across, use, right, factor } = this;
    const { count, t } = this.base;
    right.fill(0);
    for (let i = 0; i < count; i++) {
      const value = (values[i] - even * t[i]) * t[i];
      if (use[i] === 0 || value !== value) continue;
      for (let q = 0; q < 4; q++)
        for (let p = 0, at = first[i] + q * across; p < 4; p++, at++)
          right[at] = right[at] + value * basisX[4 * i + p] * basisY[4 * i + q];
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

  private at(field: Float64Array, i: number): number {
    const { basisX, basisY, across, first } = this;
    let value = 0;
    for (let q = 0; q < 4; q++) {
      const row = first[i] + q * across;
      const b = 4 * i;
      value +=
        basisY[b + q] *
        (basisX[b] * field[row] +
          basisX[b + 1] * field[row + 1] +
          basisX[b + 2] * field[row + 2] +
          basisX[b + 3] * field[row + 3]);
    }
    return value;
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
    const field = this.fit(sampled, even);
    for (let i = 0; i < count; i++) {
      const gain = even + this.at(field, i);
      sampled[i] = gain > LEAST_GAIN ? sampled[i] / gain : Number.NaN;
    }
  }
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
