import type { Flag } from "../../model/index.ts";
import type { Colours } from "../look/colours.ts";
import type { Ground, Strip } from "../strips/strips.ts";
import { isToldElsewhere, reachWords } from "./readout.ts";
import { indexAtLeast, SCALE_ROOM } from "./scale.ts";
import { thinOut } from "./thin-out.ts";

type Context = CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D;

/** The piece of a strip that is painted, in px from the left end of all frames. */
export interface Piece {
  readonly strip: Strip;
  /** Middle of a frame's column, and how wide one is. */
  readonly x: (frame: number) => number;
  readonly cell: number;
  readonly left: number;
  readonly right: number;
  readonly height: number;
  /** True where the strip is chosen or under the pointer. */
  readonly lit: boolean;
  /** True where it is carried along by what drifts. */
  readonly carried: boolean;
}

/** Whether larger values are drawn lower: they are where the drift went down in the picture. */
export const signOf = (strip: Pick<Strip, "direction">): 1 | -1 => (strip.direction[1] >= 0 ? 1 : -1);

/** Air above and below the trace, px. */
const AIR = 2;

/** Where a value lies in its row. */
export function yOf(strip: Strip, value: number, top: number, height: number): number {
  const share = (value - strip.low) / (strip.high - strip.low);
  return top + AIR + (signOf(strip) === 1 ? share : 1 - share) * (height - 2 * AIR);
}

/** True where a flag's trace goes down on its strip: a mark is drawn the way that its trace goes. */
export function fallsOn(strip: Strip, flag: Flag): boolean {
  const last = strip.value[strip.frames.indexOf(flag.to)] ?? Number.NaN;
  return !Number.isNaN(last) && last * signOf(strip) > 0;
}

function runs<T>(values: readonly T[], visit: (value: T, from: number, to: number) => void) {
  let from = 0;
  for (let i = 1; i <= values.length; i++) {
    if (i < values.length && values[i] === values[from]) continue;
    visit(values[from], from, i - 1);
    from = i;
  }
}

let pattern: { readonly colour: string; readonly fill: CanvasPattern } | null = null;

function hatch(context: Context, colour: string): CanvasPattern | string {
  if (pattern?.colour === colour) return pattern.fill;
  const side = 8 * devicePixelRatio;
  const tile = new OffscreenCanvas(side, side);
  const ink = tile.getContext("2d");
  if (!ink) return colour;
  ink.strokeStyle = colour;
  ink.lineWidth = 1.6 * devicePixelRatio;
  for (const shift of [-side, 0, side]) {
    ink.moveTo(shift - 2, side + 2);
    ink.lineTo(shift + side + 2, -2);
  }
  ink.stroke();
  const fill = context.createPattern(tile, "repeat");
  fill?.setTransform(new DOMMatrix().scale(1 / devicePixelRatio));
  if (!fill) return colour;
  pattern = { colour, fill };
  return fill;
}

/** Frames in a row that have the same ground, by strip: found once, however often they are painted. */
const grounds = new WeakMap<readonly Ground[], readonly { readonly ground: Ground; from: number; to: number }[]>();

function groundRuns({ ground }: Strip) {
  const known = grounds.get(ground);
  if (known) return known;
  const found: { ground: Ground; from: number; to: number }[] = [];
  runs(ground, (each, from, to) => found.push({ ground: each, from, to }));
  grounds.set(ground, found);
  return found;
}

/** The ground is the intent: hatched where the part moves, its band where it holds, nothing where it is hidden. */
function paintGround(context: Context, { strip, x, cell, left, right, height }: Piece, ink: Colours) {
  const { frames } = strip;
  const edges = [yOf(strip, -strip.band, 0, height), yOf(strip, strip.band, 0, height)];
  const upper = Math.min(...edges);
  const lower = Math.max(...edges);
  for (const { ground, from, to } of groundRuns(strip)) {
    if (ground === "hidden" || ground === "none") continue;
    const begin = Math.max(left, x(frames[from]) - cell / 2);
    // However far away one looks, a single frame that moves stays to be seen.
    const end = Math.min(right, Math.max(begin + 1, x(frames[to]) + cell / 2));
    if (end <= begin) continue;
    if (ground === "stopped") {
      context.fillStyle = ink.line;
      context.fillRect(begin, 0, end - begin, height);
      continue;
    }
    if (ground === "moves") {
      context.fillStyle = hatch(context, ink.hatch);
      context.fillRect(begin, 3, end - begin, height - 6);
      continue;
    }
    context.fillStyle = ink.band;
    context.fillRect(begin, upper, end - begin, lower - upper);
    context.strokeStyle = ink["band-edge"];
    context.lineWidth = 1;
    context.setLineDash(ground === "alive" ? [3, 3] : ground === "rides" ? [8, 3] : []);
    context.lineDashOffset = begin;
    context.beginPath();
    for (const y of edges) {
      context.moveTo(begin, Math.round(y) + 0.5);
      context.lineTo(end, Math.round(y) + 0.5);
    }
    context.stroke();
    context.setLineDash([]);
  }
}

interface Drawn {
  readonly x: number;
  readonly y: number;
  readonly index: number;
}

/** The points that the trace goes through, in runs without a gap. */
function traceRuns({ strip, x, cell, left, right, height }: Piece): readonly (readonly Drawn[])[] {
  const { frames, value } = strip;
  // A frame beyond either end, so that the line goes on over the edge.
  const from = Math.max(0, indexOfPlace(frames, x, left) - 2);
  const to = Math.min(frames.length - 1, indexOfPlace(frames, x, right) + 2);
  const column = cell >= 1 ? (index: number) => index : (index: number) => Math.floor(x(frames[index]));
  const found: Drawn[][] = [[]];
  for (const index of thinOut(value, from, to, column, (each) => Number(isSignal(strip, frames[each])))) {
    if (Number.isNaN(value[index])) {
      if (found[found.length - 1].length > 0) found.push([]);
    } else found[found.length - 1].push({ x: x(frames[index]), y: yOf(strip, value[index], 0, height), index });
  }
  return found;
}

/** Index of the first frame at or behind a place. */
function indexOfPlace(frames: readonly number[], x: (frame: number) => number, place: number): number {
  const [first, last] = [frames[0], frames[frames.length - 1]];
  const perFrame = (x(last) - x(first)) / Math.max(1, last - first);
  return indexAtLeast(frames, first + (place - x(first)) / (perFrame || 1));
}

function paintTrace(
  context: Context,
  { strip }: Piece,
  points: readonly (readonly Drawn[])[],
  colour: (index: number) => string,
  edge: string | null,
  width: number,
) {
  context.lineJoin = "round";
  context.lineCap = "round";
  const stroke = (ink: (index: number) => string | null, line: number) => {
    context.lineWidth = line;
    for (const run of points) {
      // One stroke a colour: a joint between two strokes would show.
      runs(
        run.map((point) => ink(point.index)),
        (tone, from, to) => {
          if (tone === null || run.length === 0) return;
          const begin = Math.max(0, from - 1);
          context.strokeStyle = tone;
          context.lineDashOffset = run[begin].x;
          context.beginPath();
          context.moveTo(run[begin].x, run[begin].y);
          for (let k = begin + 1; k <= to; k++) context.lineTo(run[k].x, run[k].y);
          if (from === to && from === 0) context.lineTo(run[0].x + 0.01, run[0].y);
          context.stroke();
        },
      );
    }
  };
  if (edge)
    stroke((index) => (colour(index) === edge ? null : isSignal(strip, strip.frames[index]) ? edge : null), width + 3);
  stroke(colour, width);
  context.lineCap = "butt";
}

const isSignal = (strip: Strip, frame: number) => strip.flags.some((flag) => flag.from <= frame && frame <= flag.to);

/** One sigma to both sides of the trace. */
function paintUncertainty(
  context: Context,
  { strip, height }: Piece,
  points: readonly (readonly Drawn[])[],
  colour: string,
) {
  context.fillStyle = colour;
  context.globalAlpha = 0.28;
  const edge = ({ x, index }: Drawn, side: number) =>
    context.lineTo(x, yOf(strip, strip.value[index] + side * strip.sigma[index], 0, height));
  for (const run of points) {
    for (let from = 0; from < run.length; from++) {
      if (Number.isNaN(strip.sigma[run[from].index])) continue;
      let to = from;
      while (to + 1 < run.length && !Number.isNaN(strip.sigma[run[to + 1].index])) to++;
      context.beginPath();
      for (let k = from; k <= to; k++) edge(run[k], -1);
      for (let k = to; k >= from; k--) edge(run[k], 1);
      context.closePath();
      context.fill();
      from = to;
    }
  }
  context.globalAlpha = 1;
}

const shouldHaveNumber: ReadonlySet<Ground> = new Set(["holds", "alive", "rides"]);
/** Room that a cross takes, px. */
const CROSS = 9;

/** Frames that hold but have no number: small crosses, so that a gap can't be taken for a steady line. */
function paintMissing(context: Context, { strip, x, left, right, height }: Piece, colour: string) {
  const { frames } = strip;
  const middle = yOf(strip, 0, 0, height);
  context.strokeStyle = colour;
  context.lineWidth = 1.2;
  context.beginPath();
  let taken = Number.NEGATIVE_INFINITY;
  const from = Math.max(0, indexOfPlace(frames, x, left - CROSS));
  for (let i = from; i < frames.length; i++) {
    const place = x(frames[i]);
    if (place > right + CROSS) break;
    const room = Math.floor(place / CROSS);
    if (room === taken || !Number.isNaN(strip.value[i]) || !shouldHaveNumber.has(strip.ground[i])) continue;
    taken = room;
    context.moveTo(place - 2.5, middle - 2.5);
    context.lineTo(place + 2.5, middle + 2.5);
    context.moveTo(place + 2.5, middle - 2.5);
    context.lineTo(place - 2.5, middle + 2.5);
  }
  context.stroke();
}

/** Height of a bar that stands for the frames of a flag, px. */
const SPAN = 5;

/** Bars for the frames of flags on a thin line: the picture's own strip has no trace, nor has a group that is folded. */
export function paintSpans(
  context: Context,
  flags: readonly Flag[],
  { frames, x, cell, height }: Pick<Piece, "x" | "cell" | "height"> & { readonly frames: readonly number[] },
  ink: Colours,
) {
  const middle = Math.round(height / 2);
  const [first, last] = [frames[0], frames[frames.length - 1]];
  context.fillStyle = ink["band-edge"];
  context.fillRect(x(first) - cell / 2, middle, x(last) - x(first) + cell, 1);
  for (const flag of flags) {
    const left = x(flag.from) - cell / 2 + 1;
    const width = Math.max(2, x(flag.to) + cell / 2 - 1 - left);
    context.fillStyle = ink["signal-edge"];
    context.fillRect(left - 1, middle - SPAN / 2 - 1, width + 2, SPAN + 2);
    context.fillStyle = ink.signal;
    context.fillRect(left, middle - SPAN / 2, width, SPAN);
  }
}

/** Paints a piece of a strip; its top left corner is at (left, 0). */
export function paintPiece(context: Context, piece: Piece, ink: Colours) {
  const { strip, lit, carried } = piece;
  if (strip.kind === "picture") {
    paintSpans(context, strip.flags, { ...piece, frames: strip.frames }, ink);
    return;
  }
  paintGround(context, piece, ink);
  const plain = strip.old ? ink["ink-3"] : lit ? ink.ink : ink.trace;
  const points = traceRuns(piece);
  if (!strip.old) paintUncertainty(context, piece, points, plain);
  // Of an earlier sheet: dotted, until the new one is there.
  if (strip.old) context.setLineDash([1, 4]);
  else if (carried) context.setLineDash([5, 4]);
  paintTrace(
    context,
    piece,
    points,
    (index) => (carried || isSignal(strip, strip.frames[index]) ? ink.signal : plain),
    strip.flags.length > 0 ? ink["signal-edge"] : null,
    strip.flags.length > 0 ? 2 : 1.3,
  );
  context.setLineDash([]);
  if (!strip.pending) paintMissing(context, piece, ink["ink-3"]);
}

/** How far a strip reaches, before its first frame. */
export function paintReach(
  context: Context,
  strip: Strip,
  top: number,
  height: number,
  unit: "px" | "mm",
  ink: Colours,
) {
  if (strip.kind === "picture" || !strip.value.some((value) => !Number.isNaN(value))) return;
  context.font = '11px "Atkinson Hyperlegible Next Variable", sans-serif';
  context.textAlign = "right";
  context.textBaseline = "middle";
  context.fillStyle = ink["ink-3"];
  // The strip is the part's own drift, though the number beside it may be that of what it carries.
  const whose = isToldElsewhere(strip) ? "own " : "";
  context.fillText(whose + reachWords(strip, unit), SCALE_ROOM - 6, top + height / 2 + 0.5);
}
