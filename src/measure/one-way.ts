// A piece whose texture is lines can be found again across them alone: along them the search would walk with the noise.
// It is damped there, so that it stays where it was sought, and what it says along them is next to nothing.

/** The weak axis has less than this share of the strong one's gradient: it may be noise alone. */
const ROUND = 0.15;
/** The share of the weak axis' gradient that has to be texture, and the sigma that it has to promise, px. */
const LEAST_TEXTURE = 0.6;
const WEAK_TELLS = 0.12;
/** Weight that holds the search along the lines, in gradients of the strong axis. */
const DAMPING = 1e4;
/** Sigma along the lines, px: a guess that the material went where it was sought. */
export const ALONG_SIGMA = 0.5;
const LEAST_OF_STRONG = 0.08;
const FLOOR = 0.0015;

type Symmetric = readonly [xx: number, xy: number, yy: number];

interface Piece {
  readonly hxx: number;
  readonly hxy: number;
  readonly hyy: number;
}

/** Smaller and larger eigenvalue of a symmetric matrix, and the unit vector of the smaller one. */
export function axesOf([xx, xy, yy]: Symmetric): {
  readonly smaller: number;
  readonly larger: number;
  readonly axis: readonly [number, number];
} {
  const half = (xx - yy) / 2;
  const spread = Math.hypot(half, xy);
  const angle = Math.atan2(xy, half) / 2 + Math.PI / 2;
  const middle = (xx + yy) / 2;
  return { smaller: middle - spread, larger: middle + spread, axis: [Math.cos(angle), Math.sin(angle)] };
}

const along = ([xx, xy, yy]: Symmetric, [x, y]: readonly [number, number]): number =>
  xx * x * x + 2 * xy * x * y + yy * y * y;

/** The piece held along its lines; null where it has none to speak of. */
export function acrossLines<T extends Piece>(piece: T): (T & { readonly lines: readonly [number, number] }) | null {
  const { smaller, larger, axis } = axesOf([piece.hxx, piece.hxy, piece.hyy]);
  if (smaller > ROUND * larger) return null;
  const [x, y] = axis;
  const held = DAMPING * larger;
  return {
    ...piece,
    hxx: piece.hxx + held * x * x,
    hxy: piece.hxy + held * x * y,
    hyy: piece.hyy + held * y * y,
    lines: axis,
  };
}

/**
 * Whether the texture along the lines tells something after all.
 * @param piece as it was before it was held
 * @param residual RMS of what the match across the lines leaves over, grey levels
 * @param gradientNoise variance of the noise's gradient over the noise's own, per px squared
 */
export function tellsAlong(piece: Piece, pixels: number, residual: number, gradientNoise: number): boolean {
  const { smaller } = axesOf([piece.hxx, piece.hxy, piece.hyy]);
  const texture = smaller - ((pixels * residual ** 2) / 2) * gradientNoise;
  return texture > LEAST_TEXTURE * smaller && (residual ** 2 * smaller) / texture ** 2 < WEAK_TELLS ** 2;
}

/**
 * Covariance of a piece that is held along its lines: as the whole one's, on the one axis across them.
 * @param swollen what the noise's own gradient adds to the normal equations
 * @param scatter of the score, gain and offset out
 */
export function covarianceAcross(
  piece: Piece,
  lines: readonly [number, number],
  swollen: number,
  scatter: Symmetric,
  into: { varX: number; varY: number; covXY: number },
): void {
  const [x, y] = [-lines[1], lines[0]];
  const gradient = along([piece.hxx, piece.hxy, piece.hyy], [x, y]);
  const texture = Math.max(LEAST_OF_STRONG * gradient, gradient - swollen);
  const across = along(scatter, [x, y]) / texture ** 2 + FLOOR ** 2;
  const free = ALONG_SIGMA ** 2;
  into.varX = across * x * x + free * y * y;
  into.varY = across * y * y + free * x * x;
  into.covXY = (across - free) * x * y;
}
