// A smooth robust surface through scattered values: a quadratic in x and y by iteratively reweighted least squares
// with Tukey's biweight (c = 4.685; Huber 1981, from memory). Used for the light, whose changes are smooth while
// everything that moves is not.

const TUKEY = 4.685;
const ROUNDS = 20;

export interface SmoothField {
  /** Coefficients of 1, p, q, p^2, p q, q^2 with p = (x - centreX) / halfWidth and q likewise. */
  readonly coefficients: Float64Array;
  at(x: number, y: number): number;
  /** Robust scatter of the samples about the field. */
  readonly scatter: number;
  readonly samples: number;
}

function solve(matrix: Float64Array, right: Float64Array, n: number): Float64Array | null {
  const a = Float64Array.from(matrix);
  const b = Float64Array.from(right);
  // Cholesky; the matrix is a normal matrix with a small ridge, so it is positive definite unless samples are too few.
  for (let j = 0; j < n; j++) {
    for (let k = 0; k < j; k++) a[j * n + j] = a[j * n + j] - a[j * n + k] ** 2;
    if (!(a[j * n + j] > 1e-12)) return null;
    a[j * n + j] = Math.sqrt(a[j * n + j]);
    for (let i = j + 1; i < n; i++) {
      for (let k = 0; k < j; k++) a[i * n + j] = a[i * n + j] - a[i * n + k] * a[j * n + k];
      a[i * n + j] = a[i * n + j] / a[j * n + j];
    }
  }
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) b[i] = b[i] - a[i * n + k] * b[k];
    b[i] = b[i] / a[i * n + i];
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) b[i] = b[i] - a[k * n + i] * b[k];
    b[i] = b[i] / a[i * n + i];
  }
  return b;
}

/**
 * @param x, y positions, px; value what was measured there; all of one length
 * @param width, height of the picture, px: sets the scale of the coordinates
 * @returns null with fewer than 12 samples
 */
export function fitSmoothField(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  value: ArrayLike<number>,
  width: number,
  height: number,
): SmoothField | null {
  const n = x.length;
  if (n < 12) return null;
  const terms = 6;
  const basis = new Float64Array(n * terms);
  for (let i = 0; i < n; i++) {
    const p = (x[i] - width / 2) / (width / 2);
    const q = (y[i] - height / 2) / (height / 2);
    basis.set([1, p, q, p * p, p * q, q * q], i * terms);
  }
  const middle = (list: Float64Array): number => list.sort()[list.length >> 1];
  let coefficients = new Float64Array(terms);
  coefficients[0] = middle(Float64Array.from({ length: n }, (_, i) => value[i]));
  let scatter = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const residuals = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      let fit = 0;
      for (let t = 0; t < terms; t++) fit += coefficients[t] * basis[i * terms + t];
      residuals[i] = value[i] - fit;
    }
    scatter = Math.max(1e-6, 1.4826022185 * middle(residuals.map(Math.abs)));
    const normal = new Float64Array(terms * terms);
    const right = new Float64Array(terms);
    for (let i = 0; i < n; i++) {
      const r = residuals[i] / (TUKEY * scatter);
      if (Math.abs(r) >= 1) continue;
      const w = (1 - r * r) ** 2;
      for (let a = 0; a < terms; a++) {
        right[a] = right[a] + w * basis[i * terms + a] * value[i];
        for (let b = 0; b < terms; b++)
          normal[a * terms + b] = normal[a * terms + b] + w * basis[i * terms + a] * basis[i * terms + b];
      }
    }
    for (let a = 0; a < terms; a++) normal[a * terms + a] = normal[a * terms + a] + 1e-6 * n;
    const next = solve(normal, right, terms);
    if (next === null) return null;
    let change = 0;
    for (let t = 0; t < terms; t++) change += Math.abs(next[t] - coefficients[t]);
    coefficients = Float64Array.from(next);
    if (change < 1e-9) break;
  }
  return {
    coefficients,
    scatter,
    samples: n,
    at(px: number, py: number): number {
      const p = (px - width / 2) / (width / 2);
      const q = (py - height / 2) / (height / 2);
      return (
        coefficients[0] +
        coefficients[1] * p +
        coefficients[2] * q +
        coefficients[3] * p * p +
        coefficients[4] * p * q +
        coefficients[5] * q * q
      );
    },
  };
}
