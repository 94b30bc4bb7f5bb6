/** A similarity of the picture: (x, y) goes to (shiftX + a x - b y, shiftY + b x + a y), px. */
export interface Carry {
  readonly shiftX: number;
  readonly shiftY: number;
  readonly a: number;
  readonly b: number;
}

export const STAY: Carry = { shiftX: 0, shiftY: 0, a: 1, b: 0 };

export const carried = ({ shiftX, shiftY, a, b }: Carry, x: number, y: number): [number, number] => [
  shiftX + a * x - b * y,
  shiftY + b * x + a * y,
];

/** Shift told at (x, y), turn in radians and scale about it. */
export function carryOf(x: number, y: number, dx: number, dy: number, turn: number, scale = 1): Carry {
  const a = scale * Math.cos(turn);
  const b = scale * Math.sin(turn);
  return { shiftX: x + dx - a * x + b * y, shiftY: y + dy - b * x - a * y, a, b };
}

/** First `first`, then `then`. */
export function carryOn(first: Carry, then: Carry): Carry {
  const [shiftX, shiftY] = carried(then, first.shiftX, first.shiftY);
  return { shiftX, shiftY, a: then.a * first.a - then.b * first.b, b: then.b * first.a + then.a * first.b };
}
