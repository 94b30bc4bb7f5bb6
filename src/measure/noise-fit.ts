import { inverse } from "./statistics/matrix.ts";

// Photon transfer, after EMVA 1288: the variance of linear light is that of its photons, in proportion to the light, plus
// that of the dark, the same everywhere. What the file adds, its 8-bit steps and what JPEG rounds off, is even on the
// grey levels of the sRGB curve instead.

/** What noise is made of: `photon` grows with the light, `dark` does not, `steps` is even in grey levels. */
export type NoiseTerm = "photon" | "dark" | "steps";

/** One level of light with the temporal variance seen there. */
export interface NoiseRow {
  /** Mean of the light. */
  readonly level: number;
  /** Temporal variance of one frame, unit of `level` squared. */
  readonly variance: number;
  /** Weight in the fit: 1 over the variance of `variance`, up to a common factor. */
  readonly weight: number;
  /** Variance of the light where that of the grey level is 1; for the term `steps` alone. */
  readonly step?: number;
}

/** Variance at a level is gain x level + dark + steps x step. */
export interface NoiseFit {
  /** The system gain K, unit of the levels: variance for each unit of light. */
  readonly gain: number;
  /** Standard deviation in the dark, unit of the levels. */
  readonly dark: number;
  /** Variance that is even in grey levels, grey levels squared. */
  readonly steps: number;
}

const termOf = (row: NoiseRow, term: NoiseTerm): number =>
  term === "photon" ? row.level : term === "dark" ? 1 : (row.step ?? 0);

/** Coefficients by weighted least squares and the sum of squares left over; null where the terms can't be told apart. */
function solve(
  rows: readonly NoiseRow[],
  terms: readonly NoiseTerm[],
): { readonly values: readonly number[]; readonly left: number } | null {
  const p = terms.length;
  // Terms differ by orders of magnitude: each is brought to length 1 first.
  const lengths = terms.map((term) =>
    Math.sqrt(rows.reduce((sum, row) => sum + row.weight * termOf(row, term) ** 2, 0)),
  );
  if (lengths.some((length) => !(length > 0))) return null;
  const normal = new Float64Array(p * p);
  const right = new Float64Array(p);
  for (const row of rows) {
    const columns = terms.map((term, i) => termOf(row, term) / lengths[i]);
    for (let a = 0; a < p; a++) {
      right[a] += row.weight * columns[a] * row.variance;
      for (let b = 0; b < p; b++) normal[a * p + b] += row.weight * columns[a] * columns[b];
    }
  }
  const spread = inverse(normal, p);
  if (spread === null) return null;
  const values = terms.map((_, a) => right.reduce((sum, value, b) => sum + spread[a * p + b] * value, 0) / lengths[a]);
  const left = rows.reduce((sum, row) => {
    const off = row.variance - terms.reduce((told, term, i) => told + values[i] * termOf(row, term), 0);
    return sum + row.weight * off * off;
  }, 0);
  return { values, left };
}

/** All ways to leave terms out, but for leaving out all. */
function choices(terms: readonly NoiseTerm[]): NoiseTerm[][] {
  const all: NoiseTerm[][] = [];
  for (let bits = 1; bits < 1 << terms.length; bits++) all.push(terms.filter((_, i) => (bits >> i) % 2 === 1));
  return all;
}

/**
 * The photon-transfer fit: weighted least squares of variance on the terms, none of them below zero. With `photon` alone
 * the line goes through the origin, as EMVA 1288 wants it where the dark was taken off level and variance before.
 * @returns null where no terms fit
 */
export function fitNoise(rows: readonly NoiseRow[], terms: readonly NoiseTerm[]): NoiseFit | null {
  let best: { readonly fit: NoiseFit; readonly left: number } | null = null;
  for (const chosen of choices(terms)) {
    const solved = solve(rows, chosen);
    if (solved === null || solved.values.some((value) => !(value >= 0))) continue;
    if (best !== null && best.left <= solved.left) continue;
    const of = (term: NoiseTerm): number => (chosen.includes(term) ? solved.values[chosen.indexOf(term)] : 0);
    best = { fit: { gain: of("photon"), dark: Math.sqrt(of("dark")), steps: of("steps") }, left: solved.left };
  }
  return best?.fit ?? null;
}

/** Variance that a fit tells at a level of light. */
export const varianceAt = ({ gain, dark, steps }: NoiseFit, level: number, step: number): number =>
  gain * level + dark * dark + steps * step;
