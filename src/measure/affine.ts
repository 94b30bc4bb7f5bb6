/** An affine map of the picture: (x, y) goes to (a x + b y + c, d x + e y + f); px, x right, y down. */
export type Affine = readonly [number, number, number, number, number, number];

export const IDENTITY: Affine = [1, 0, 0, 0, 1, 0];

export const mapped = ([a, b, c, d, e, f]: Affine, x: number, y: number): [number, number] => [
  a * x + b * y + c,
  d * x + e * y + f,
];

/** `first`, then `then`. */
export const followedBy = (first: Affine, then: Affine): Affine => {
  const [a, b, c, d, e, f] = first;
  const [p, q, r, s, t, u] = then;
  return [p * a + q * d, p * b + q * e, p * c + q * f + r, s * a + t * d, s * b + t * e, s * c + t * f + u];
};

/** The way back. Numbers are not finite where the map folds the picture onto a line. */
export const inverseOf = ([a, b, c, d, e, f]: Affine): Affine => {
  const det = a * e - b * d;
  const [p, q, s, t] = [e / det, -b / det, -d / det, a / det];
  return [p, q, -p * c - q * f, s, t, -s * c - t * f];
};

/** A turn about a place, radians from x towards y, with a scale, then a slide. */
export const turnAbout = (
  turn: number,
  [x, y]: readonly [number, number],
  dx: number,
  dy: number,
  scale = 1,
): Affine => {
  const [c, s] = [scale * Math.cos(turn), scale * Math.sin(turn)];
  return [c, -s, x + dx - c * x + s * y, s, c, y + dy - s * x - c * y];
};

/** The map whose every displacement is `times` as large: 0 leaves everything where it is, 1 is the map itself. */
export const enlarged = ([a, b, c, d, e, f]: Affine, times: number): Affine => [
  1 + times * (a - 1),
  times * b,
  times * c,
  times * d,
  1 + times * (e - 1),
  times * f,
];

/** The same map where a px of the new picture is `scale` of a px of the old one. */
export const rescaled = ([a, b, c, d, e, f]: Affine, scale: number): Affine => [a, b, c * scale, d, e, f * scale];
