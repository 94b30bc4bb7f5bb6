import type { Flag } from "../../model/index.ts";
import type { FlowField } from "../../protocol/pictures.ts";
import type { Colours } from "../look/colours.ts";
import type { DrawnOutline } from "./outlines.ts";
import type { Place } from "./place.ts";

type Context = CanvasRenderingContext2D;
type Point = readonly [number, number];

/** The measured motion of one part, px of the original frame. */
export interface PartArrow {
  readonly at: Point;
  readonly by: Point;
  readonly drifts: boolean;
}

const DARK = "#000000b3";
const PALE = "#f0f0f0";

function trace(context: Context, points: readonly Point[], place: Place) {
  context.beginPath();
  for (const [i, [x, y]] of points.entries()) {
    const [sx, sy] = [place.left + x * place.scale, place.top + y * place.scale];
    if (i === 0) context.moveTo(sx, sy);
    else context.lineTo(sx, sy);
  }
  context.closePath();
}

export function paintOutlines(
  context: Context,
  outlines: readonly DrawnOutline[],
  place: Place,
  lit: ReadonlySet<string>,
  ink: { readonly line: string; readonly lit: string; readonly signal: string; readonly dark: string },
  /** Thin, and none but of what drifts or is lit: where the picture itself is to be seen. */
  sparing = false,
) {
  context.lineJoin = "round";
  const order = outlines.toSorted((a, b) => rank(a, lit) - rank(b, lit));
  for (const outline of order) {
    const isLit = lit.has(outline.id);
    const drifts = outline.state !== "still";
    if (sparing && !drifts && !isLit) continue;
    trace(context, outline.points, place);
    context.setLineDash([]);
    context.strokeStyle = ink.dark;
    context.globalAlpha = drifts || isLit ? 0.85 : 0.4;
    context.lineWidth = sparing ? 2.6 : isLit ? 4.6 : drifts ? 3.4 : 2.2;
    context.stroke();
    if (outline.state === "carried") context.setLineDash([7, 4]);
    context.strokeStyle = drifts ? ink.signal : isLit ? ink.lit : ink.line;
    context.globalAlpha = drifts || isLit ? 1 : 0.55;
    context.lineWidth = sparing ? 1 : isLit ? 2.2 : drifts ? 1.4 : 0.9;
    context.stroke();
  }
  context.setLineDash([]);
  context.globalAlpha = 1;
}

const rank = (outline: DrawnOutline, lit: ReadonlySet<string>) =>
  (lit.has(outline.id) ? 2 : 0) + (outline.state === "drifts" ? 1.5 : outline.state === "carried" ? 1 : 0);

/** Words on the picture, on a dark plate so that they can be read on anything. */
export function paintWords(context: Context, words: string, x: number, y: number, colour = PALE) {
  context.font = '600 13px "Atkinson Hyperlegible Next Variable", sans-serif';
  context.textBaseline = "middle";
  const width = context.measureText(words).width;
  context.fillStyle = "#0c0c0ccc";
  context.beginPath();
  context.roundRect(x - 7, y - 12, width + 14, 24, 4);
  context.fill();
  context.fillStyle = colour;
  context.fillText(words, x, y + 0.5);
}

/** Names the outlines that are lit, under them or over them, within the canvas. */
export function paintNames(
  context: Context,
  outlines: readonly DrawnOutline[],
  place: Place,
  lit: ReadonlySet<string>,
  /** What follows the name of a part. */
  more: ReadonlyMap<string, string> | null,
  width: number,
  height: number,
) {
  for (const outline of outlines) {
    if (!lit.has(outline.id)) continue;
    const xs = outline.points.map((point) => place.left + point[0] * place.scale);
    const ys = outline.points.map((point) => place.top + point[1] * place.scale);
    context.font = '600 13px "Atkinson Hyperlegible Next Variable", sans-serif';
    const words = outline.name + (more?.get(outline.id) ?? "");
    const room = context.measureText(words).width + 14;
    const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
    const middle = (Math.min(...xs) + Math.max(...xs)) / 2;
    const x = Math.min(width - room - 6, Math.max(14, middle - room / 2 + 7));
    const y = bottom + 20 < height - 16 ? bottom + 20 : Math.max(18, top - 20);
    paintWords(context, words, x, y);
  }
}

/** Where the parts stood before they drifted: thin and dotted, to put them back by. */
export function paintGhost(
  context: Context,
  outlines: readonly (readonly Point[])[],
  place: Place,
  ink: { readonly lit: string; readonly dark: string },
) {
  context.lineJoin = "round";
  for (const outline of outlines) {
    trace(context, outline, place);
    context.setLineDash([]);
    context.strokeStyle = ink.dark;
    context.lineWidth = 3.5;
    context.stroke();
    context.setLineDash([2, 4]);
    context.strokeStyle = ink.lit;
    context.lineWidth = 1.6;
    context.stroke();
  }
  context.setLineDash([]);
}

/** The place about which a part turned: a cross in a ring. */
export function paintPivot(
  context: Context,
  flag: Flag,
  place: Place,
  ink: { readonly signal: string; readonly dark: string },
) {
  if (flag.pivot === null) return;
  const x = place.left + flag.pivot[0] * place.scale;
  const y = place.top + flag.pivot[1] * place.scale;
  for (const [width, colour] of [
    [5, ink.dark],
    [2, ink.signal],
  ] as const) {
    context.lineWidth = width;
    context.strokeStyle = colour;
    context.beginPath();
    context.arc(x, y, 9, 0, 2 * Math.PI);
    context.moveTo(x - 14, y);
    context.lineTo(x + 14, y);
    context.moveTo(x, y - 14);
    context.lineTo(x, y + 14);
    context.stroke();
  }
}

function arrow(context: Context, x: number, y: number, dx: number, dy: number, head: number) {
  const length = Math.hypot(dx, dy);
  context.beginPath();
  context.moveTo(x, y);
  context.lineTo(x + dx, y + dy);
  if (length > 2) {
    const size = Math.min(head, length * 0.6);
    const [ux, uy] = [dx / length, dy / length];
    context.moveTo(x + dx - size * (ux - 0.5 * uy), y + dy - size * (uy + 0.5 * ux));
    context.lineTo(x + dx, y + dy);
    context.lineTo(x + dx - size * (ux + 0.5 * uy), y + dy - size * (uy - 0.5 * ux));
  }
  context.stroke();
}

/** Longest arrow of the dense field, in distances between arrows. */
const LONGEST_CELLS = 1.4;

/** The dense field in grey, enlarged; each arrow begins where the picture was. */
export function paintField(
  context: Context,
  field: FlowField & { readonly width: number },
  place: Place,
  frameWidth: number,
  enlarge: number,
  /** What the camera did at a point, px of the frame: taken out. */
  camera: ((point: Point) => Point) | null,
) {
  const toFrame = frameWidth / field.width;
  const longest = field.step * toFrame * place.scale * LONGEST_CELLS;
  for (const [width, colour] of [
    [2.6, "#00000080"],
    [1.1, "#e4e4e4b0"],
  ] as const) {
    context.lineWidth = width;
    context.strokeStyle = colour;
    for (let row = 0; row < field.rows; row++) {
      for (let col = 0; col < field.cols; col++) {
        const cell = row * field.cols + col;
        const at: Point = [(col + 0.5) * field.step * toFrame, (row + 0.5) * field.step * toFrame];
        const [x, y] = [place.left + at[0] * place.scale, place.top + at[1] * place.scale];
        const [cx, cy] = camera?.(at) ?? [0, 0];
        const by = place.scale * enlarge;
        const [dx, dy] = [(field.dx[cell] * toFrame - cx) * by, (field.dy[cell] * toFrame - cy) * by];
        // What is animated goes a hundred times as far as what drifts: cut short, or it would cover everything.
        const cut = Math.min(1, longest / Math.max(1e-6, Math.hypot(dx, dy)));
        arrow(context, x, y, dx * cut, dy * cut, 5);
      }
    }
  }
}

/** What was measured on the parts, over the field, enlarged by as much. */
export function paintPartArrows(
  context: Context,
  arrows: readonly PartArrow[],
  place: Place,
  signal: string,
  enlarge: number,
) {
  context.lineCap = "round";
  for (const { at, by, drifts } of arrows) {
    const [x, y] = [place.left + at[0] * place.scale, place.top + at[1] * place.scale];
    const [dx, dy] = [by[0] * place.scale * enlarge, by[1] * place.scale * enlarge];
    const line = Math.hypot(dx, dy) < 24 ? 2 : 3;
    for (const [width, colour] of [
      [line + 3, DARK],
      [line, drifts ? signal : PALE],
    ] as const) {
      context.lineWidth = width;
      context.strokeStyle = colour;
      arrow(context, x, y, dx, dy, line * 3.6);
      context.beginPath();
      context.arc(x, y, 1.5, 0, 2 * Math.PI);
      context.stroke();
    }
  }
  context.lineCap = "butt";
}

/** How long an arrow of a round number of px is, in the picture's lower left corner. */
export function paintScale(context: Context, place: Place, frameHeight: number, length: number, enlarge: number) {
  const x = Math.max(0, place.left) + 14;
  const y = Math.min(context.canvas.clientHeight, place.top + frameHeight * place.scale) - 20;
  const bar = length * place.scale * enlarge;
  paintWords(context, `${length} px`, x + bar + 12, y);
  for (const [width, colour] of [
    [5, DARK],
    [2, PALE],
  ] as const) {
    context.lineWidth = width;
    context.strokeStyle = colour;
    context.beginPath();
    context.moveTo(x, y - 5);
    context.lineTo(x, y + 5);
    context.moveTo(x, y);
    context.lineTo(x + bar, y);
    context.moveTo(x + bar, y - 5);
    context.lineTo(x + bar, y + 5);
    context.stroke();
  }
}

/** The light table where there is no picture: the frame's edge, so that outlines stand somewhere. */
export function paintEmptyFrame(context: Context, place: Place, width: number, height: number, ink: Colours) {
  context.fillStyle = ink.sheet;
  context.strokeStyle = ink.line;
  context.lineWidth = 1;
  context.beginPath();
  context.rect(place.left, place.top, width * place.scale, height * place.scale);
  context.fill();
  context.stroke();
}
