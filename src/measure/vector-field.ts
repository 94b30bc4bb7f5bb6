import { cholesky, inverse } from "./statistics/matrix.ts";
import { selected } from "./statistics/selected.ts";

// A smooth displacement field through scattered vectors, each with its own 2 x 2 covariance: polynomials in x and y by
// iteratively reweighted least squares with Tukey's biweight (c = 4.685; Huber 1981, from memory). What most of the
// samples did is the field; what a minority did beside it does not bend it.

const TUKEY = 4.685;
const ROUNDS = 25;

/** Vectors at places, with the inverse of their covariance; all arrays of one length, px and 1 / px squared. */
export interface VectorSamples {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly dx: Float64Array;
  readonly dy: Float64Array;
  readonly ixx: Float64Array;
  readonly ixy: Float64Array;
  readonly iyy: Float64Array;
}

/** "similar": shift, turn and scale. A number: the degree of a polynomial of its own for dx and for dy. */
export type FieldModel = "similar" | 1 | 2 | 3 | 4;

export interface VectorField {
  readonly model: FieldModel;
  at(x: number, y: number): readonly [number, number];
  /** Covariance xx, xy, yy of the field at a place, px squared, as if all samples were independent. */
  covarianceAt(x: number, y: number): readonly [number, number, number];
  /** Standardised length of what is left over at each sample. */
  readonly lengths: Float64Array;
  /** Robust scatter of these lengths: 1 where the samples' covariances are right. */
  readonly spread: number;
  readonly parameters: number;
}

const termsOf = (degree: number): number => ((degree + 1) * (degree + 2)) / 2;
export const parametersOf = (model: FieldModel): number => (model === "similar" ? 4 : 2 * termsOf(model));

/** Rows of the design for dx and dy at normalised (p, q): `rows` holds two rows of `parameters`. */
function design(model: FieldModel, p: number, q: number, rows: Float64Array): void {
  rows.fill(0);
  if (model === "similar") {
    rows.set([1, 0, p, -q, 0, 1, q, p]);
    return;
  }
  const terms = termsOf(model);
  // Each total degree from the one before: once more by p, and the last one by q as well.
  rows[0] = 1;
  for (let total = 1, k = 1; total <= model; total++) {
    for (let j = 0; j < total; j++, k++) rows[k] = rows[k - total] * p;
    rows[k] = rows[k - total - 1] * q;
    k++;
  }
  for (let k = 0; k < terms; k++) rows[3 * terms + k] = rows[k];
}

const middleOf = (values: Float64Array, share: number): number =>
  selected(values.slice(), Math.min(values.length - 1, Math.floor(share * values.length)));

/** As in similarity.ts: the nearest quarter decides where it tells another story than the median. */
function spreadOf(lengths: Float64Array): number {
  const middle = middleOf(lengths, 0.5) / Math.sqrt(2 * Math.LN2);
  const near = middleOf(lengths, 0.25) / Math.sqrt(-2 * Math.log(0.75));
  return middle <= 2 * Math.max(1, near) ? middle : near;
}

const known = new WeakMap<VectorSamples, Map<FieldModel, VectorField | null>>();

/** @returns null with fewer samples than parameters, or where they do not determine the field */
export function fitVectorField(samples: VectorSamples, model: FieldModel): VectorField | null {
  let fields = known.get(samples);
  if (fields === undefined) known.set(samples, (fields = new Map()));
  let field = fields.get(model);
  if (field === undefined) fields.set(model, (field = fitted(samples, model)));
  return field;
}

function fitted(samples: VectorSamples, model: FieldModel): VectorField | null {
  const { x, y, dx, dy, ixx, ixy, iyy } = samples;
  const n = x.length;
  const size = parametersOf(model);
  if (2 * n < size + 4) return null;
  const centreX = (Math.min(...x) + Math.max(...x)) / 2;
  const centreY = (Math.min(...y) + Math.max(...y)) / 2;
  const reach = Math.max(1, (Math.max(...x) - Math.min(...x)) / 2, (Math.max(...y) - Math.min(...y)) / 2);
  const rows = new Float64Array(n * 2 * size);
  for (let i = 0; i < n; i++)
    design(model, (x[i] - centreX) / reach, (y[i] - centreY) / reach, rows.subarray(2 * size * i, 2 * size * (i + 1)));
  let params = new Float64Array(size);
  params[0] = middleOf(dx, 0.5);
  params[model === "similar" ? 1 : size / 2] = middleOf(dy, 0.5);
  const lengths = new Float64Array(n);
  let spread = 1;
  let normal = new Float64Array(size * size);
  // Of a polynomial each half of the parameters speaks of one direction alone.
  const [endX, firstY] = model === "similar" ? [size, 0] : [size / 2, size / 2];
  const residuals = (): void => {
    for (let i = 0; i < n; i++) {
      let rx = dx[i];
      let ry = dy[i];
      const at = 2 * size * i;
      for (let k = 0; k < endX; k++) rx -= params[k] * rows[at + k];
      for (let k = firstY; k < size; k++) ry -= params[k] * rows[at + size + k];
      lengths[i] = Math.sqrt(Math.max(0, ixx[i] * rx * rx + 2 * ixy[i] * rx * ry + iyy[i] * ry * ry));
    }
    spread = Math.max(1, spreadOf(lengths));
  };
  for (let round = 0; round < ROUNDS; round++) {
    residuals();
    normal = new Float64Array(size * size);
    const right = new Float64Array(size);
    for (let i = 0; i < n; i++) {
      const r = lengths[i] / (TUKEY * spread);
      if (r >= 1) continue;
      const w = (1 - r * r) ** 2;
      const [wxx, wxy, wyy] = [w * ixx[i], w * ixy[i], w * iyy[i]];
      const at = 2 * size * i;
      if (model !== "similar") {
        for (let a = 0; a < firstY; a++) {
          const value = rows[at + a];
          const [pxx, pxy, pyy] = [wxx * value, wxy * value, wyy * value];
          right[a] += pxx * dx[i] + pxy * dy[i];
          right[firstY + a] += pxy * dx[i] + pyy * dy[i];
          const [ofX, ofY] = [a * size, (firstY + a) * size];
          for (let b = 0; b <= a; b++) {
            const other = rows[at + b];
            normal[ofX + b] += pxx * other;
            normal[ofY + b] += pxy * other;
            normal[ofY + firstY + b] += pyy * other;
          }
        }
        continue;
      }
      for (let a = 0; a < size; a++) {
        const ax = rows[at + a];
        const ay = rows[at + size + a];
        if (ax === 0 && ay === 0) continue;
        const px = wxx * ax + wxy * ay;
        const py = wxy * ax + wyy * ay;
        right[a] += px * dx[i] + py * dy[i];
        for (let b = 0; b <= a; b++) normal[a * size + b] += px * rows[at + b] + py * rows[at + size + b];
      }
    }
    // Of a similarity the lower half is not the upper one over again.
    if (model !== "similar")
      for (let a = firstY; a < size; a++)
        for (let b = 0; b < a - firstY; b++) normal[(b + firstY) * size + a - firstY] = normal[a * size + b];
    for (let a = 0; a < size; a++) {
      normal[a * size + a] *= 1 + 1e-9;
      for (let b = 0; b < a; b++) normal[b * size + a] = normal[a * size + b];
    }
    const next = solved(normal, right, size);
    if (next === null) return null;
    let change = 0;
    for (let k = 0; k < size; k++) change += Math.abs(next[k] - params[k]);
    params = next;
    if (change < 1e-6 * size) break;
  }
  residuals();
  let covariance: Float64Array | null = null;
  const rowsAt = new Float64Array(2 * size);
  return {
    model,
    lengths,
    spread,
    parameters: size,
    at(px, py) {
      design(model, (px - centreX) / reach, (py - centreY) / reach, rowsAt);
      let [fx, fy] = [0, 0];
      for (let k = 0; k < size; k++) {
        fx += params[k] * rowsAt[k];
        fy += params[k] * rowsAt[size + k];
      }
      return [fx, fy];
    },
    covarianceAt(px, py) {
      covariance ??= inverse(normal, size) ?? new Float64Array(size * size).fill(Number.POSITIVE_INFINITY);
      design(model, (px - centreX) / reach, (py - centreY) / reach, rowsAt);
      const out: [number, number, number] = [0, 0, 0];
      for (let a = 0; a < size; a++)
        for (let b = 0; b < size; b++) {
          const c = covariance[a * size + b] * spread * spread;
          out[0] += rowsAt[a] * c * rowsAt[b];
          out[1] += rowsAt[a] * c * rowsAt[size + b];
          out[2] += rowsAt[size + a] * c * rowsAt[size + b];
        }
      return out;
    },
  };
}

function solved(normal: Float64Array, right: Float64Array, size: number): Float64Array<ArrayBuffer> | null {
  const lower = cholesky(normal, size);
  if (lower === null) return null;
  const out = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    let sum = right[i];
    for (let k = 0; k < i; k++) sum -= lower[i * size + k] * out[k];
    out[i] = sum / lower[i * size + i];
  }
  for (let i = size - 1; i >= 0; i--) {
    let sum = out[i];
    for (let k = i + 1; k < size; k++) sum -= lower[k * size + i] * out[k];
    out[i] = sum / lower[i * size + i];
  }
  return out;
}
