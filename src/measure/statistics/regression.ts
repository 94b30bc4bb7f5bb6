import { inverse } from "./matrix.ts";

// Several series that were measured together, fitted by least squares on shared columns (Draper & Smith, Applied
// Regression Analysis; the multivariate form is Anderson, An Introduction to Multivariate Statistical Analysis, ch. 8).
// Columns are added one at a time to an orthonormal basis, so that the gain of any further one is a single sum.

export interface Regression {
  /** Rows (frames) and series (dx, dy, turn, ...). */
  readonly rows: number;
  readonly dims: number;
  /** Weight of each row: 1 over its variance against the ordinary row's. */
  readonly weights: Float64Array;
  /** What is left of the series, rows x dims, row-major. */
  readonly residual: Float64Array;
  /** Weighted sums of squares and products of what is left, dims x dims. */
  readonly scatter: Float64Array;
  /** Columns so far, made orthonormal under the weights. */
  readonly basis: readonly Float64Array[];
  readonly columns: readonly Float64Array[];
}

/** A column whose own part is under this share of it says nothing that is not said already. */
export const OWN_SHARE = 1e-9;

function scatterOf(residual: Float64Array, weights: Float64Array, dims: number): Float64Array {
  const scatter = new Float64Array(dims * dims);
  for (let i = 0; i < weights.length; i++) {
    for (let a = 0; a < dims; a++) {
      const value = weights[i] * residual[i * dims + a];
      for (let b = a; b < dims; b++) scatter[a * dims + b] = scatter[a * dims + b] + value * residual[i * dims + b];
    }
  }
  for (let a = 0; a < dims; a++) for (let b = 0; b < a; b++) scatter[a * dims + b] = scatter[b * dims + a];
  return scatter;
}

/** @param series rows x dims, row-major; not changed */
export function startRegression(series: Float64Array, dims: number, weights: Float64Array): Regression {
  return {
    rows: weights.length,
    dims,
    weights,
    residual: series,
    scatter: scatterOf(series, weights, dims),
    basis: [],
    columns: [],
  };
}

/** Where this share of a column or less is its own, one orthogonalisation leaves rounding that a second takes out. */
const NEARLY_PARALLEL = 0.25;

/** The regression with one more column; null where the column adds nothing to those before it. */
export function withColumn(regression: Regression, column: Float64Array): Regression | null {
  const { rows, dims, weights, basis } = regression;
  const own = Float64Array.from(column);
  const square = () => {
    let sum = 0;
    for (let i = 0; i < rows; i++) sum += weights[i] * own[i] * own[i];
    return sum;
  };
  const whole = square();
  let length = whole;
  // Twice is enough (Kahan, in Parlett 1980).
  for (let pass = 0; pass < 2; pass++) {
    for (const q of basis) {
      let dot = 0;
      for (let i = 0; i < rows; i++) dot += weights[i] * q[i] * own[i];
      for (let i = 0; i < rows; i++) own[i] -= dot * q[i];
    }
    length = square();
    if (length > NEARLY_PARALLEL * whole) break;
  }
  if (!(length > OWN_SHARE * whole)) return null;
  const scale = 1 / Math.sqrt(length);
  const gain = new Float64Array(dims);
  for (let i = 0; i < rows; i++) {
    own[i] *= scale;
    const value = weights[i] * own[i];
    for (let d = 0; d < dims; d++) gain[d] += value * regression.residual[i * dims + d];
  }
  const residual = Float64Array.from(regression.residual);
  for (let i = 0; i < rows; i++) for (let d = 0; d < dims; d++) residual[i * dims + d] -= gain[d] * own[i];
  return {
    rows,
    dims,
    weights,
    residual,
    scatter: scatterOf(residual, weights, dims),
    basis: [...basis, own],
    columns: [...regression.columns, column],
  };
}

export interface Coefficients {
  /** Columns x dims, row-major: how much of each column is in each series. */
  readonly values: Float64Array;
  /** (X'WX)^-1, columns x columns: times a row's covariance it is the coefficients' covariance. */
  readonly spread: Float64Array;
}

/** Coefficients of the columns as they were given. Null where they can't be told apart. */
export function coefficientsOf(regression: Regression, series: Float64Array): Coefficients | null {
  const { rows, dims, weights, columns } = regression;
  const p = columns.length;
  const normal = new Float64Array(p * p);
  const right = new Float64Array(p * dims);
  for (let a = 0; a < p; a++) {
    const column = columns[a];
    for (let b = a; b < p; b++) {
      const other = columns[b];
      let sum = 0;
      for (let i = 0; i < rows; i++) sum += weights[i] * column[i] * other[i];
      normal[a * p + b] = sum;
      normal[b * p + a] = sum;
    }
    for (let d = 0; d < dims; d++) {
      let sum = 0;
      for (let i = 0; i < rows; i++) sum += weights[i] * column[i] * series[i * dims + d];
      right[a * dims + d] = sum;
    }
  }
  const spread = inverse(normal, p);
  if (spread === null) return null;
  const values = new Float64Array(p * dims);
  for (let a = 0; a < p; a++) {
    for (let d = 0; d < dims; d++) {
      let sum = 0;
      for (let b = 0; b < p; b++) sum += spread[a * p + b] * right[b * dims + d];
      values[a * dims + d] = sum;
    }
  }
  return { values, spread };
}
