import type { VectorSamples } from "./vector-field.ts";

/** Values that a node is told by: dx, dy beyond the seed, varX, varY, covXY, RMS of the match's residual. */
export const NODE_VALUES = 6;

/**
 * The nodes that are used, with the inverse of their covariances.
 * @param places of all nodes, x and y by turns
 */
export function samplesOf(values: Float32Array, places: ArrayLike<number>, used: ArrayLike<number>): VectorSamples {
  const kept: number[] = [];
  for (let i = 0; i < used.length; i++) if (Number.isFinite(values[i * NODE_VALUES]) && used[i] === 1) kept.push(i);
  const pick = (value: (at: number, i: number) => number): Float64Array =>
    Float64Array.from(kept, (i) => value(i * NODE_VALUES, i));
  const determinant = (at: number): number => values[at + 2] * values[at + 3] - values[at + 4] ** 2;
  return {
    x: pick((_, i) => places[2 * i]),
    y: pick((_, i) => places[2 * i + 1]),
    dx: pick((at) => values[at]),
    dy: pick((at) => values[at + 1]),
    ixx: pick((at) => values[at + 3] / determinant(at)),
    ixy: pick((at) => -values[at + 4] / determinant(at)),
    iyy: pick((at) => values[at + 2] / determinant(at)),
  };
}
