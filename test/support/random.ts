// Seeded random numbers: every random choice of a test can be made again.

export interface Random {
  /** Uniform in [0, 1), 32 bits. */
  next(): number;
  between(low: number, high: number): number;
  /** Whole number in [0, count). */
  integer(count: number): number;
  /** Standard normal. */
  normal(): number;
  /** Poisson count: exact below a mean of 12; above it the normal with its skewness put right, not rounded. */
  poisson(mean: number): number;
}

/** Finaliser of MurmurHash3 (Appleby, public domain): 32 bits in, 32 well-mixed bits out, unsigned. */
export function mixBits(value: number): number {
  let h = value | 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/** One 32-bit seed from several whole numbers; their order counts. */
export function seedOf(...numbers: readonly number[]): number {
  let h = 0x9e3779b9;
  for (const number of numbers) h = mixBits(h ^ mixBits(number + 0x7f4a7c15)) + 0x6a09e667;
  return mixBits(h);
}

/** Generator sfc32 (Doty-Humphrey, PractRand: period above 2^64 on average), seeded by whole numbers. */
export function createRandom(...seeds: readonly number[]): Random {
  const seed = seedOf(...seeds);
  // Kept in an array: numbers beyond 31 bits in a closure would be boxed at each change.
  const state = Int32Array.of(seed, mixBits(seed + 1), mixBits(seed + 2), 1);
  let spare = Number.NaN;

  const next = (): number => {
    const b = state[1];
    const c = state[2];
    const t = (((state[0] + b) | 0) + state[3]) | 0;
    state[3]++;
    state[0] = b ^ (b >>> 9);
    state[1] = c + (c << 3);
    state[2] = ((c << 21) | (c >>> 11)) + t;
    return (t >>> 0) / 4294967296;
  };
  for (let warmUp = 0; warmUp < 15; warmUp++) next();

  // Polar method (Marsaglia & Bray 1964).
  const normal = (): number => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    for (;;) {
      const x = 2 * next() - 1;
      const y = 2 * next() - 1;
      const s = x * x + y * y;
      if (s >= 1 || s === 0) continue;
      const factor = Math.sqrt((-2 * Math.log(s)) / s);
      spare = y * factor;
      return x * factor;
    }
  };

  const poisson = (mean: number): number => {
    if (mean <= 0) return 0;
    if (mean < 12) {
      // Products of uniforms (Knuth, The Art of Computer Programming, volume 2).
      const limit = Math.exp(-mean);
      let count = 0;
      for (let product = next(); product > limit; product *= next()) count++;
      return count;
    }
    // Cornish-Fisher to first order: mean, variance (to 1 / 18) and skewness of the Poisson law.
    const z = normal();
    return Math.max(0, mean + Math.sqrt(mean) * z + (z * z - 1) / 6);
  };

  return {
    next,
    between: (low, high) => low + (high - low) * next(),
    integer: (count) => Math.floor(next() * count),
    normal,
    poisson,
  };
}
