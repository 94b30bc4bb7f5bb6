/**
 * Value exceeded with the given chance: generalised Pareto law fitted to the top 2 % by probability-weighted moments
 * (Hosking & Wallis 1987), since the chance asked for is beyond what can be counted.
 */
export function tailQuantile(values: Float64Array, chance: number): number {
  const sorted = values.toSorted();
  const n = sorted.length;
  const above = Math.max(50, Math.round(n * 0.02));
  const start = sorted[n - above - 1];
  const excess = sorted.subarray(n - above);
  let [first, second] = [0, 0];
  excess.forEach((value, i) => {
    first += (value - start) / above;
    second += ((value - start) * (above - 1 - i)) / (above - 1) / above;
  });
  if (!(first > 0)) return start;
  const shape = first / (first - 2 * second) - 2;
  const scale = (2 * first * second) / (first - 2 * second);
  const share = (chance * n) / above;
  return start + (Math.abs(shape) < 1e-6 ? -scale * Math.log(share) : (scale / shape) * (1 - share ** shape));
}
