// What a part's pixels tell about its motion: the normal equations of (dx, dy, turn in px), with the share that is noise
// taken off. Noise has a gradient too: it swells the normal equations, so that steps come out short and sigmas small.

/** Symmetric 3 x 3: xx, xy, xr, yy, yr, rr. */
export type Symmetric3 = readonly [number, number, number, number, number, number];

/** The part of a direction's energy that must be texture and not noise, for its variance to be told from it. */
const LEAST_TEXTURE = 0.08;
/** Share of a direction's energy that must be texture for the search to step along it. */
export const STEPS_ALONG = 0.2;
/** What is told this much less than the best direction counts as not told at all. */
const NOTHING = 1e-6;
/** Standard deviation that is stated along a direction which was not looked along, px: the motion there can be anything. */
export const UNTOLD_SIGMA = 3;

/** Principal directions of the normal equations. */
export interface Information {
  /** Unit vectors, three numbers each. */
  readonly vectors: Float64Array;
  /** Energy as it is, and of the texture alone, never quite nothing. */
  readonly energy: Float64Array;
  readonly texture: Float64Array;
  /** 1 for the directions that are looked along. */
  readonly told: Uint8Array;
  /** How many are not. */
  readonly untold: number;
}

/** Unit vector of one of them. */
export const directionOf = ({ vectors }: Information, i: number): [number, number, number] => [
  vectors[3 * i],
  vectors[3 * i + 1],
  vectors[3 * i + 2],
];

/** Eigenvectors of a symmetric 3 x 3 matrix by Jacobi's rotations (Golub & Van Loan, Matrix computations, section 8.5). */
function eigen3(m: Symmetric3, values: Float64Array, vectors: Float64Array): void {
  const a = [
    [m[0], m[1], m[2]],
    [m[1], m[3], m[4]],
    [m[2], m[4], m[5]],
  ];
  const v = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  for (let sweep = 0; sweep < 12; sweep++) {
    const off = a[0][1] ** 2 + a[0][2] ** 2 + a[1][2] ** 2;
    if (off <= 1e-24 * (a[0][0] ** 2 + a[1][1] ** 2 + a[2][2] ** 2)) break;
    for (const [p, q] of PAIRS) {
      if (a[p][q] === 0) continue;
      const theta = (a[q][q] - a[p][p]) / (2 * a[p][q]);
      const t = Math.sign(theta || 1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
      const c = 1 / Math.sqrt(t * t + 1);
      const s = t * c;
      for (let k = 0; k < 3; k++) {
        const [kp, kq] = [a[k][p], a[k][q]];
        a[k][p] = c * kp - s * kq;
        a[k][q] = s * kp + c * kq;
      }
      for (let k = 0; k < 3; k++) {
        const [pk, qk] = [a[p][k], a[q][k]];
        a[p][k] = c * pk - s * qk;
        a[q][k] = s * pk + c * qk;
        const [vp, vq] = [v[k][p], v[k][q]];
        v[k][p] = c * vp - s * vq;
        v[k][q] = s * vp + c * vq;
      }
    }
  }
  for (let i = 0; i < 3; i++) {
    values[i] = a[i][i];
    for (let k = 0; k < 3; k++) vectors[3 * i + k] = v[k][i];
  }
}

const PAIRS = [
  [0, 1],
  [0, 2],
  [1, 2],
] as const;

/**
 * Directions of the normal equations without the noise's share. Along stripes there is nothing to find, and a search that
 * tries wanders: such a direction is not looked along, and keeps a large sigma.
 * @param nu energy that noise alone has along any direction
 * @param untold how many directions are left out whatever they say, so that a search that settles does not change its
 * mind; null: as many as tell too little
 * @returns null where nothing is told at all
 */
export function informationOf(normal: Symmetric3, nu: number, untold: number | null): Information | null {
  const energy = new Float64Array(3);
  const vectors = new Float64Array(9);
  eigen3(normal, energy, vectors);
  const most = Math.max(...energy);
  if (!(most > 1e-12)) return null;
  const texture = new Float64Array(3);
  const told = new Uint8Array(3).fill(1);
  const share = [0, 0, 0];
  for (let i = 0; i < 3; i++) {
    energy[i] = Math.max(energy[i], 1e-9 * most);
    texture[i] = Math.max(LEAST_TEXTURE * energy[i], energy[i] - nu);
    share[i] = energy[i] < NOTHING * most ? 0 : (energy[i] - nu) / energy[i];
  }
  const out = untold ?? share.filter((value) => value < STEPS_ALONG).length;
  // All noise: nothing to choose between.
  if (out < 3)
    for (const i of [0, 1, 2].sort((a, b) => share[a] - share[b] || energy[a] - energy[b]).slice(0, out)) told[i] = 0;
  return { vectors, energy, texture, told, untold: out };
}

/** The step that the score asks for, along what is told. Where all is noise steps are as short as noise makes them. */
export function stepAlong(
  { vectors, energy, texture, told, untold }: Information,
  score: readonly [number, number, number],
  ridge: number,
): [number, number, number] {
  const step: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < 3; i++) {
    if (told[i] === 0) continue;
    const along = vectors[3 * i] * score[0] + vectors[3 * i + 1] * score[1] + vectors[3 * i + 2] * score[2];
    const length = along / ((untold === 3 ? energy[i] : texture[i]) + ridge);
    for (let k = 0; k < 3; k++) step[k] += length * vectors[3 * i + k];
  }
  return step;
}

/** Largest variance of a told direction for residuals of variance 1. */
export function reachOf({ energy, texture, told }: Information): number {
  let reach = 0;
  for (let i = 0; i < 3; i++) if (told[i] === 1) reach = Math.max(reach, energy[i] / (texture[i] * texture[i]));
  return reach;
}

/** Sum over directions of weight(i) times the direction's projector. */
function summed(vectors: Float64Array, weight: (i: number) => number): Symmetric3 {
  const out: [number, number, number, number, number, number] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < 3; i++) {
    const w = weight(i);
    const [x, y, r] = [vectors[3 * i], vectors[3 * i + 1], vectors[3 * i + 2]];
    out[0] += w * x * x;
    out[1] += w * x * y;
    out[2] += w * x * r;
    out[3] += w * y * y;
    out[4] += w * y * r;
    out[5] += w * r * r;
  }
  return out;
}

/** Inverse of what is told, 0 along what is not; each direction counted so many times. */
export const inverseOf = ({ vectors, texture, told }: Information, times: readonly number[] = [1, 1, 1]): Symmetric3 =>
  summed(vectors, (i) => (told[i] === 1 ? times[i] / texture[i] : 0));

/**
 * Covariance of (dx, dy, turn in px), a sandwich: the inverse of what is texture, around what texture and noise together
 * let the score scatter.
 * @param variances of the score over the energy along each direction, grey levels squared
 */
export const sandwichOf = ({ vectors, energy, texture, told }: Information, variances: readonly number[]): Symmetric3 =>
  summed(vectors, (i) => {
    const own = (variances[i] * energy[i]) / (texture[i] * texture[i]);
    return told[i] === 1 ? own : Math.max(own, UNTOLD_SIGMA * UNTOLD_SIGMA);
  });
