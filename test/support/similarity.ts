// Plane similarities as complex numbers: p' = (a + ib) p + t. Exact to compose and to invert.

export type Point = readonly [number, number];

/** x' = a x - b y + tx, y' = b x + a y + ty. A positive turn goes from x towards y (clockwise on the screen). */
export interface Similarity {
  readonly a: number;
  readonly b: number;
  readonly tx: number;
  readonly ty: number;
}

/** A motion as people say it: turn and scale about the pivot, then the shift. px and radians; pivot [0, 0] if left out. */
export interface Motion {
  readonly dx?: number;
  readonly dy?: number;
  readonly turn?: number;
  readonly scale?: number;
  readonly pivot?: Point;
}

export const IDENTITY: Similarity = { a: 1, b: 0, tx: 0, ty: 0 };

export function similarityOf(motion: Motion): Similarity {
  const { dx = 0, dy = 0, turn = 0, scale = 1, pivot = [0, 0] } = motion;
  const a = scale * Math.cos(turn);
  const b = scale * Math.sin(turn);
  return { a, b, tx: pivot[0] - (a * pivot[0] - b * pivot[1]) + dx, ty: pivot[1] - (b * pivot[0] + a * pivot[1]) + dy };
}

/** The motion about the origin that does the same as a similarity. */
export function motionOf(s: Similarity): Motion {
  return { dx: s.tx, dy: s.ty, turn: Math.atan2(s.b, s.a), scale: Math.hypot(s.a, s.b) };
}

/** First `inner`, then `outer`. */
export function compose(outer: Similarity, inner: Similarity): Similarity {
  return {
    a: outer.a * inner.a - outer.b * inner.b,
    b: outer.b * inner.a + outer.a * inner.b,
    tx: outer.a * inner.tx - outer.b * inner.ty + outer.tx,
    ty: outer.b * inner.tx + outer.a * inner.ty + outer.ty,
  };
}

export function invert(s: Similarity): Similarity {
  const size = s.a * s.a + s.b * s.b;
  const a = s.a / size;
  const b = -s.b / size;
  return { a, b, tx: -(a * s.tx - b * s.ty), ty: -(b * s.tx + a * s.ty) };
}

export const applyTo = (s: Similarity, [x, y]: Point): [number, number] => [
  s.a * x - s.b * y + s.tx,
  s.b * x + s.a * y + s.ty,
];

export const sameSimilarity = (p: Similarity, q: Similarity): boolean =>
  p.a === q.a && p.b === q.b && p.tx === q.tx && p.ty === q.ty;
