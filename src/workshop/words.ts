/** Figures as they stand in the workshop's sentences, with a real minus sign. */
export const figure = (value: number, decimals: number): string =>
  value
    .toFixed(decimals)
    .replace(/^-(?=.*[1-9])/u, "\u2212")
    .replace(/^-/u, "");

/** Decimals that show one figure of a sigma, two where it begins with 1; 3 at most. */
const decimalsOf = (sigma: number): number => {
  const power = Math.floor(Math.log10(sigma));
  return Math.min(3, Math.max(0, (sigma / 10 ** power < 1.95 ? 1 : 0) - power));
};

/** "34.1 ± 2.2 N mm"; where the sigma is next to nothing, without it. */
export function withSigma(value: number, sigma: number, unit: string): string {
  if (!(sigma >= 0.0005)) return `${figure(value, 3)} ${unit}`;
  const decimals = decimalsOf(sigma);
  return `${figure(value, decimals)} \u00b1 ${figure(sigma, decimals)} ${unit}`;
}

/** "4.5 to 7.5 degrees an hour", three figures at most. */
export const rangeWords = (low: number, high: number, unit: string): string => {
  const short = (value: number) => figure(value, value >= 100 ? 0 : value >= 10 ? 1 : 2);
  return short(low) === short(high) ? `${short(low)} ${unit}` : `${short(low)} to ${short(high)} ${unit}`;
};
