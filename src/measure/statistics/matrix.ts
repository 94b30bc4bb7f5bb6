// Small symmetric matrices, row-major. Nothing here is meant for more than a few dozen rows.

/** Lower Cholesky factor of a positive definite matrix; null where it isn't one. */
export function cholesky(matrix: ArrayLike<number>, size: number): Float64Array | null {
  const lower = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * size + j];
      for (let k = 0; k < j; k++) sum -= lower[i * size + k] * lower[j * size + k];
      if (i === j) {
        if (!(sum > 0)) return null;
        lower[i * size + i] = Math.sqrt(sum);
      } else {
        lower[i * size + j] = sum / lower[j * size + j];
      }
    }
  }
  return lower;
}

/** Inverse of a positive definite matrix; null where it isn't one. */
export function inverse(matrix: ArrayLike<number>, size: number): Float64Array | null {
  const lower = cholesky(matrix, size);
  if (lower === null) return null;
  const result = new Float64Array(size * size);
  const column = new Float64Array(size);
  for (let c = 0; c < size; c++) {
    for (let i = 0; i < size; i++) {
      let sum = i === c ? 1 : 0;
      for (let k = 0; k < i; k++) sum -= lower[i * size + k] * column[k];
      column[i] = sum / lower[i * size + i];
    }
    for (let i = size - 1; i >= 0; i--) {
      let sum = column[i];
      for (let k = i + 1; k < size; k++) sum -= lower[k * size + i] * column[k];
      column[i] = sum / lower[i * size + i];
    }
    for (let i = 0; i < size; i++) result[i * size + c] = column[i];
  }
  return result;
}

/** v' M v. */
export function quadratic(matrix: ArrayLike<number>, vector: ArrayLike<number>): number {
  const size = vector.length;
  let sum = 0;
  for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) sum += vector[i] * matrix[i * size + j] * vector[j];
  return sum;
}

/** J M J' for a `rows` x `size` matrix J. */
export function propagated(
  jacobian: ArrayLike<number>,
  rows: number,
  matrix: ArrayLike<number>,
  size: number,
): Float64Array {
  const half = new Float64Array(rows * size);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < size; c++) {
      let sum = 0;
      for (let k = 0; k < size; k++) sum += jacobian[r * size + k] * matrix[k * size + c];
      half[r * size + c] = sum;
    }
  }
  const result = new Float64Array(rows * rows);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < rows; c++) {
      let sum = 0;
      for (let k = 0; k < size; k++) sum += half[r * size + k] * jacobian[c * size + k];
      result[r * rows + c] = sum;
    }
  }
  return result;
}

/** v' M^-1 v for a positive definite M; NaN where it isn't one. */
export function whitenedSquare(matrix: ArrayLike<number>, vector: ArrayLike<number>): number {
  const size = vector.length;
  const lower = cholesky(matrix, size);
  if (lower === null) return Number.NaN;
  const white = new Float64Array(size);
  let sum = 0;
  for (let i = 0; i < size; i++) {
    let value = vector[i];
    for (let k = 0; k < i; k++) value -= lower[i * size + k] * white[k];
    white[i] = value / lower[i * size + i];
    sum += white[i] ** 2;
  }
  return sum;
}
