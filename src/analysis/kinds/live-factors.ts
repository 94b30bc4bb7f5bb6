// Made by `npm run bench -- thresholds live` (test/bench/thresholds.ts), seed 20260301: don't edit.

/**
 * Factor on every threshold where a series is judged after every frame, up to 96 of them: about 1 false alarm in 1000 holds
 * over all these looks together.
 */
export const liveFactors = {
  held: { slow: 1.238, step: 1.155, pop: 1.11 },
  camera: { slow: 1.21, step: 1.296, pop: 1.143 },
  light: { slow: 1.28, step: 1.327, pop: 1.427 },
  shape: { slow: 1.259, step: 1.302, pop: 1.205 },
} as const;
