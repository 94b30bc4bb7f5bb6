import type { Flag } from "../../model/index.ts";
import type { Colours } from "../look/colours.ts";
import type { Ground, Strip } from "../strips/strips.ts";
import { reachWords } from "./readout.ts";
import { type FrameScale, SCALE_ROOM } from "./scale.ts";

type Context = CanvasRenderingContext2D;

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

/** The ground is the intent: hatched where the part moves, its band where it holds, nothing where it is hidden. */
function paintGround(
  context: Context,
  strip: Strip,
  scale: FrameScale,
  frames: readonly number[],
  top: number,
  height: number,
  ink: Colours,
) {
  const edges = [yOf(strip, -strip.band, top, height), yOf(strip, strip.band, top, height)];
  const upper = Math.min(...edges);
  const lower = Math.max(...edges);
  runs(strip.ground, (ground: Ground, from, to) => {
    const left = scale.x(frames[from]) - scale.cell / 2;
    const width = scale.x(frames[to]) + scale.cell / 2 - left;
    if (ground === "hidden" || ground === "none") return;
    if (ground === "stopped") {
      context.fillStyle = ink.line;
      context.fillRect(left, top, width, height);
      return;
    }
    if (ground === "moves") {
      context.fillStyle = hatch(context, ink.hatch);
      context.fillRect(left, top + 3, width, height - 6);
      return;
    }
    context.fillStyle = ink.band;
    context.fillRect(left, upper, width, lower - upper);
    context.strokeStyle = ink["band-edge"];
    context.lineWidth = 1;
    context.setLineDash(ground === "alive" ? [3, 3] : ground === "rides" ? [8, 3] : []);
    context.beginPath();
    for (const y of edges) {
      context.moveTo(left, Math.round(y) + 0.5);
      context.lineTo(left + width, Math.round(y) + 0.5);
    }
    context.stroke();
    context.setLineDash([]);
  });
}

function paintTrace(
  context: Context,
  strip: Strip,
  scale: FrameScale,
  frames: readonly number[],
  top: number,
  height: number,
  colour: (index: number) => string,
  edge: string | null,
  width: number,
) {
  const points: { readonly x: number; readonly y: number; readonly index: number }[][] = [[]];
  for (let i = 0; i < frames.length; i++) {
    if (Number.isNaN(strip.value[i])) {
      if (points[points.length - 1].length > 0) points.push([]);
      continue;
    }
    points[points.length - 1].push({ x: scale.x(frames[i]), y: yOf(strip, strip.value[i], top, height), index: i });
  }
  context.lineJoin = "round";
  context.lineCap = "round";
  const stroke = (ink: (index: number) => string | null, line: number) => {
    context.lineWidth = line;
    for (const run of points) {
      // One stroke a colour: a joint between two strokes would show.
      runs(
        run.map((point) => ink(point.index)),
        (tone, from, to) => {
          if (tone === null) return;
          context.strokeStyle = tone;
          context.beginPath();
          for (let k = Math.max(0, from - 1); k <= to; k++) {
            if (k === Math.max(0, from - 1)) context.moveTo(run[k].x, run[k].y);
            else context.lineTo(run[k].x, run[k].y);
          }
          if (from === to && from === 0) context.lineTo(run[0].x + 0.01, run[0].y);
          context.stroke();
        },
      );
    }
  };
  if (edge)
    stroke((index) => (colour(index) === edge ? null : isSignal(strip, frames[index]) ? edge : null), width + 3);
  stroke(colour, width);
  context.lineCap = "butt";
}

const isSignal = (strip: Strip, frame: number) => strip.flags.some((flag) => flag.from <= frame && frame <= flag.to);

/** One sigma to both sides of the trace. */
function paintUncertainty(
  context: Context,
  strip: Strip,
  scale: FrameScale,
  frames: readonly number[],
  top: number,
  height: number,
  colour: string,
) {
  context.fillStyle = colour;
  context.globalAlpha = 0.28;
  for (let from = 0; from < frames.length; from++) {
    if (Number.isNaN(strip.value[from]) || Number.isNaN(strip.sigma[from])) continue;
    let to = from;
    while (to + 1 < frames.length && !Number.isNaN(strip.value[to + 1]) && !Number.isNaN(strip.sigma[to + 1])) to++;
    context.beginPath();
    for (let i = from; i <= to; i++)
      context.lineTo(scale.x(frames[i]), yOf(strip, strip.value[i] - strip.sigma[i], top, height));
    for (let i = to; i >= from; i--)
      context.lineTo(scale.x(frames[i]), yOf(strip, strip.value[i] + strip.sigma[i], top, height));
    context.closePath();
    context.fill();
    from = to;
  }
  context.globalAlpha = 1;
}

const shouldHaveNumber: ReadonlySet<Ground> = new Set(["holds", "alive", "rides"]);

/** Frames that hold but have no number: small crosses, so that a gap can't be taken for a steady line. */
function paintMissing(
  context: Context,
  strip: Strip,
  scale: FrameScale,
  frames: readonly number[],
  middle: number,
  colour: string,
) {
  context.strokeStyle = colour;
  context.lineWidth = 1.2;
  context.beginPath();
  const every = Math.max(1, Math.ceil(9 / scale.cell));
  for (let i = 0; i < frames.length; i += every) {
    const ground = strip.ground[i];
    if (!Number.isNaN(strip.value[i]) || !shouldHaveNumber.has(ground)) continue;
    const x = scale.x(frames[i]);
    context.moveTo(x - 2.5, middle - 2.5);
    context.lineTo(x + 2.5, middle + 2.5);
    context.moveTo(x + 2.5, middle - 2.5);
    context.lineTo(x - 2.5, middle + 2.5);
  }
  context.stroke();
}

/** Height of a bar that stands for the frames of a flag, px. */
const SPAN = 5;

/** The picture's own strip has no trace: a bar for the frames of each flag on a thin line. */
function paintSpans(context: Context, strip: Strip, scale: FrameScale, top: number, height: number, ink: Colours) {
  const middle = Math.round(top + height / 2);
  const [first, last] = [strip.frames[0], strip.frames[strip.frames.length - 1]];
  context.fillStyle = ink["band-edge"];
  context.fillRect(scale.x(first) - scale.cell / 2, middle, scale.x(last) - scale.x(first) + scale.cell, 1);
  for (const flag of strip.flags) {
    const left = scale.x(flag.from) - scale.cell / 2 + 1;
    const width = scale.x(flag.to) + scale.cell / 2 - 1 - left;
    context.fillStyle = ink["signal-edge"];
    context.fillRect(left - 1, middle - SPAN / 2 - 1, width + 2, SPAN + 2);
    context.fillStyle = ink.signal;
    context.fillRect(left, middle - SPAN / 2, width, SPAN);
  }
}

export function paintStrip(
  context: Context,
  strip: Strip,
  carried: boolean,
  scale: FrameScale,
  frames: readonly number[],
  top: number,
  height: number,
  lit: boolean,
  ink: Colours,
) {
  if (lit) {
    context.fillStyle = ink.line;
    context.globalAlpha = 0.45;
    context.fillRect(0, top, scale.width, height);
    context.globalAlpha = 1;
  }
  if (strip.kind === "picture") {
    paintSpans(context, strip, scale, top, height, ink);
    return;
  }
  paintGround(context, strip, scale, frames, top, height, ink);
  const plain = lit ? ink.ink : ink.trace;
  paintUncertainty(context, strip, scale, frames, top, height, plain);
  const flagged = (index: number) => isSignal(strip, frames[index]);
  if (carried) context.setLineDash([5, 4]);
  paintTrace(
    context,
    strip,
    scale,
    frames,
    top,
    height,
    (index) => (flagged(index) || carried ? ink.signal : plain),
    strip.flags.length > 0 ? ink["signal-edge"] : null,
    strip.flags.length > 0 ? 2 : 1.3,
  );
  context.setLineDash([]);
  if (strip.value.some((value) => !Number.isNaN(value))) {
    context.font = '11px "Atkinson Hyperlegible Next Variable", sans-serif';
    context.textAlign = "right";
    context.textBaseline = "middle";
    context.fillStyle = ink["ink-3"];
    context.fillText(reachWords(strip), SCALE_ROOM - 6, top + height / 2 + 0.5);
  }
  if (!strip.pending) paintMissing(context, strip, scale, frames, yOf(strip, 0, top, height), ink["ink-3"]);
}
