// Order statistics of the first values of a buffer, which stays as it is.

export function medianOf(values: Float64Array, length: number): number {
  if (length === 0) return 0;
  const sorted = values.slice(0, length).sort();
  return length % 2 === 1 ? sorted[(length - 1) / 2] : (sorted[length / 2 - 1] + sorted[length / 2]) / 2;
}

export function quantileOf(values: Float64Array, length: number, share: number): number {
  if (length === 0) return 0;
  const sorted = values.slice(0, length).sort();
  return sorted[Math.min(length - 1, Math.floor(share * length))];
}
