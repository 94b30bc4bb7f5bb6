/** Covariance of (dx, dy, turn), upper triangle: xx, xy, xt, yy, yt, tt. */
export type Covariance = readonly [number, number, number, number, number, number];

export const scaled = (c: Covariance, factor: number): Covariance => [
  c[0] * factor,
  c[1] * factor,
  c[2] * factor,
  c[3] * factor,
  c[4] * factor,
  c[5] * factor,
];

export const plus = (a: Covariance, b: Covariance): Covariance => [
  a[0] + b[0],
  a[1] + b[1],
  a[2] + b[2],
  a[3] + b[3],
  a[4] + b[4],
  a[5] + b[5],
];

/** The two directions in which a shift is told independently, unit vectors, with its variance along them, px squared. */
export function principalAxes(
  c: Covariance,
): readonly { readonly variance: number; readonly direction: readonly [number, number] }[] {
  const angle = 0.5 * Math.atan2(2 * c[1], c[0] - c[3]);
  const [x, y] = [Math.cos(angle), Math.sin(angle)];
  const middle = (c[0] + c[3]) / 2;
  const half = Math.hypot((c[0] - c[3]) / 2, c[1]);
  return [
    { variance: middle + half, direction: [x, y] },
    { variance: middle - half, direction: [-y, x] },
  ];
}

/** Standard deviation along the direction in which the shift is told worst, px. */
export function worstSigma(c: Covariance): number {
  return Math.sqrt((c[0] + c[3]) / 2 + Math.hypot((c[0] - c[3]) / 2, c[1]));
}

/** From px of the analysed frame to px of the original one: x and y stretch, the turn stays. */
export const stretched = (c: Covariance, sx: number, sy: number): Covariance => [
  c[0] * sx * sx,
  c[1] * sx * sy,
  c[2] * sx,
  c[3] * sy * sy,
  c[4] * sy,
  c[5],
];
