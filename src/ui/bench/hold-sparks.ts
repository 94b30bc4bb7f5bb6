import { type BenchHold, isFlagged } from "../../reports/bench/holds.ts";
import type { Colours } from "../look/colours.ts";

// Small drawings of holds side by side, each the drift of one hold from its anchor on, on one scale.

export const SPARK = { width: 30, height: 26, gap: 6, line: 8 } as const;

/** px; below this everything is drawn flat: nobody is shown noise as a mountain. */
const LEAST = 0.3;

/** What a full height stands for, px: the largest drift, but for the few that would flatten all others. */
export function fullHeight(holds: readonly BenchHold[]): number {
  const sizes = holds.map(({ hold }) => hold.px).toSorted((a, b) => a - b);
  return Math.max(LEAST, sizes[Math.floor((sizes.length - 1) * 0.95)] ?? 0);
}

/** How many fit side by side. */
export const perLine = (width: number): number =>
  Math.max(1, Math.floor((width + SPARK.gap) / (SPARK.width + SPARK.gap)));

export const linesFor = (count: number, width: number): number => Math.ceil(count / perLine(width));

/** Which hold is at a place of the drawing; null where there is none. */
export function holdAt(holds: readonly BenchHold[], width: number, x: number, y: number): BenchHold | null {
  const column = Math.floor(x / (SPARK.width + SPARK.gap));
  const line = Math.floor(y / (SPARK.height + SPARK.line));
  return column < perLine(width) ? (holds[line * perLine(width) + column] ?? null) : null;
}

function paintSpark(
  context: CanvasRenderingContext2D,
  one: BenchHold,
  x: number,
  y: number,
  full: number,
  colours: Colours,
): void {
  const flagged = isFlagged(one);
  const { trace } = one.hold;
  const base = y + SPARK.height - 2;
  context.fillStyle = colours.band;
  context.fillRect(x, y, SPARK.width, SPARK.height);
  context.beginPath();
  let pen = false;
  const step = SPARK.width / Math.max(1, trace.length - 1);
  for (let i = 0; i < trace.length; i++) {
    const value = trace[i];
    if (Number.isNaN(value)) {
      pen = false;
      continue;
    }
    const at = base - Math.min(1, Math.max(-0.04, value / full)) * (SPARK.height - 5);
    if (pen) context.lineTo(x + i * step, at);
    else context.moveTo(x + i * step, at);
    pen = true;
  }
  context.lineJoin = "round";
  if (flagged) {
    context.strokeStyle = colours["signal-edge"];
    context.lineWidth = 3.5;
    context.stroke();
  }
  context.strokeStyle = flagged ? colours.signal : colours.trace;
  context.lineWidth = flagged ? 1.8 : 1.2;
  context.stroke();
  if (flagged) {
    // A shape beside the colour: a foot under what was flagged.
    context.fillStyle = colours.signal;
    context.fillRect(x, y + SPARK.height, SPARK.width, 2);
  }
}

export function paintSparks(
  context: CanvasRenderingContext2D,
  width: number,
  holds: readonly BenchHold[],
  full: number,
  colours: Colours,
): void {
  const across = perLine(width);
  holds.forEach((one, index) => {
    const x = (index % across) * (SPARK.width + SPARK.gap);
    const y = Math.floor(index / across) * (SPARK.height + SPARK.line);
    paintSpark(context, one, x, y, full, colours);
  });
}
