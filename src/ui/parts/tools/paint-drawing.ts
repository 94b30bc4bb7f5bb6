import type { Place } from "../../table/place.ts";

type Context = CanvasRenderingContext2D;
type Places = readonly (readonly [number, number])[];

const DARK = "#000000b0";
const PALE = "#ffffff";

const screen = (place: Place, [x, y]: readonly [number, number]): readonly [number, number] => [
  place.left + x * place.scale,
  place.top + y * place.scale,
];

/** Strokes the path that was begun so that it can be seen on anything: pale, with a dark edge. */
function strokeSeen(context: Context, dash: readonly number[] = []) {
  context.setLineDash([]);
  context.strokeStyle = DARK;
  context.lineWidth = 4;
  context.stroke();
  context.setLineDash([...dash]);
  context.strokeStyle = PALE;
  context.lineWidth = 1.5;
  context.stroke();
  context.setLineDash([]);
}

/** A line through places of the frame. */
export function paintLine(
  context: Context,
  points: Places,
  place: Place,
  options: { closed?: boolean; dash?: number[] } = {},
) {
  if (points.length === 0) return;
  context.lineJoin = "round";
  context.lineCap = "round";
  context.beginPath();
  for (const [i, point] of points.entries()) {
    const [x, y] = screen(place, point);
    if (i === 0) context.moveTo(x, y);
    else context.lineTo(x, y);
  }
  if (options.closed) context.closePath();
  strokeSeen(context, options.dash);
  context.lineCap = "butt";
}

/** Corners: small squares, the lit one larger and filled. */
export function paintCorners(context: Context, points: Places, place: Place, lit: number | null = null) {
  for (const [i, point] of points.entries()) {
    const [x, y] = screen(place, point);
    const half = i === lit ? 5 : 3;
    context.fillStyle = i === lit ? PALE : "#1a1a1a";
    context.strokeStyle = i === lit ? "#000000" : PALE;
    context.lineWidth = 1.2;
    context.beginPath();
    context.rect(x - half, y - half, 2 * half, 2 * half);
    context.fill();
    context.stroke();
  }
}

/** A ring round the corner on which the drawing closes. */
export function paintTarget(context: Context, point: readonly [number, number], place: Place) {
  const [x, y] = screen(place, point);
  context.beginPath();
  context.arc(x, y, 9, 0, 2 * Math.PI);
  strokeSeen(context);
}

/** The cross that the arrow keys move: long arms with a gap, so that what is under it can be seen. */
export function paintCross(context: Context, point: readonly [number, number], place: Place) {
  const [x, y] = screen(place, point);
  context.beginPath();
  for (const [dx, dy] of [
    [1, 0],
    [-1, 0],
    [0, 1],
    [0, -1],
  ]) {
    context.moveTo(x + 5 * dx, y + 5 * dy);
    context.lineTo(x + 22 * dx, y + 22 * dy);
  }
  strokeSeen(context);
}

/** A joint: a pin, seen from above. */
export function paintJoint(context: Context, at: readonly [number, number], place: Place, isLit: boolean) {
  const [x, y] = screen(place, at);
  context.beginPath();
  context.arc(x, y, isLit ? 7 : 5, 0, 2 * Math.PI);
  context.fillStyle = "#1a1a1ad0";
  context.fill();
  context.strokeStyle = PALE;
  context.lineWidth = isLit ? 2.4 : 1.6;
  context.stroke();
  context.beginPath();
  context.arc(x, y, 1.6, 0, 2 * Math.PI);
  context.fillStyle = PALE;
  context.fill();
}
