import type { Colours } from "../look/colours.ts";
import type { Strips } from "../strips/strips.ts";
import type { Happening } from "./happenings.ts";
import { paintReach, paintSpans } from "./paint-strip.ts";
import type { Row } from "./row-plan.ts";
import { type FrameScale, SCALE_ROOM } from "./scale.ts";
import type { Tiles } from "./tiles.ts";

type Context = CanvasRenderingContext2D;

/** What is looked at, as far as the strips show it. */
export interface StripLook {
  readonly over: string | null;
  readonly chosen: string | null;
  readonly frame: number;
  readonly range: { readonly from: number; readonly to: number } | null;
  readonly cut: readonly [number, number] | null;
  readonly unit: "px" | "mm";
}

/** Frames that lie outside of `from` to `to` under a veil. */
function veil(context: Context, scale: FrameScale, from: number, to: number, height: number, colour: string) {
  const [left, right] = [scale.x(from) - scale.cell / 2, scale.x(to) + scale.cell / 2];
  context.fillStyle = colour;
  if (left > SCALE_ROOM) context.fillRect(SCALE_ROOM, 0, left - SCALE_ROOM, height);
  if (right < scale.width) context.fillRect(Math.max(SCALE_ROOM, right), 0, scale.width - right, height);
}

/** A break is a gap that runs through all strips, a mark a line on those that it was done to. */
function paintHappenings(
  context: Context,
  happenings: readonly Happening[],
  rows: readonly Row[],
  scale: FrameScale,
  height: number,
  ink: Colours,
) {
  const top = rows[0]?.top ?? 0;
  for (const { kind, frame, before, part } of happenings) {
    const x = scale.x(frame) - scale.cell / 2;
    if (x < SCALE_ROOM - 2 || x > scale.width + 2) continue;
    if (kind === "break") {
      const middle = before === null ? x : (scale.x(before) + scale.x(frame)) / 2;
      context.fillStyle = ink.sheet;
      context.fillRect(middle - 2, 0, 4, height);
      context.strokeStyle = ink["ink-3"];
      context.setLineDash([2, 3]);
      context.lineDashOffset = top;
      context.lineWidth = 1;
      context.beginPath();
      context.moveTo(Math.round(middle) + 0.5, 0);
      context.lineTo(Math.round(middle) + 0.5, height);
      context.stroke();
      context.setLineDash([]);
      continue;
    }
    context.fillStyle = ink["ink-2"];
    for (const row of rows) {
      if (row.kind === "strip" && (part === null || row.strip.id === part))
        context.fillRect(Math.round(x) - 1, row.top - top + 2, 2, row.height - 4);
    }
  }
}

/** Paints rows of strips as they are in sight, the first one at the top. */
export function paintRows(
  context: Context,
  tiles: Tiles,
  rows: readonly Row[],
  strips: Strips,
  happenings: readonly Happening[],
  scale: FrameScale,
  look: StripLook,
  ink: Colours,
) {
  const { over, chosen, frame, range, cut, unit } = look;
  const carried = new Set(
    strips.flags.filter((flag) => flag.from <= frame && frame <= flag.to).flatMap((flag) => flag.carries),
  );
  const start = rows[0]?.top ?? 0;
  const end = rows.length === 0 ? 0 : rows[rows.length - 1].top + rows[rows.length - 1].height - start;
  context.save();
  context.beginPath();
  context.rect(SCALE_ROOM - 2, 0, scale.width - SCALE_ROOM + 2, end);
  for (const row of rows) {
    if (row.kind !== "strip") continue;
    const { strip } = row;
    const lit = strip.id === over || strip.id === chosen;
    if (lit) {
      context.fillStyle = ink.line;
      context.globalAlpha = 0.45;
      context.fillRect(0, row.top - start, scale.width, row.height);
      context.globalAlpha = 1;
    }
    paintReach(context, strip, row.top - start, row.height, unit, ink);
  }
  context.clip();
  tiles.begin(scale);
  for (const row of rows) {
    const top = row.top - start;
    if (row.kind === "strip") {
      const lit = row.strip.id === over || row.strip.id === chosen;
      const place = { top, height: row.height, left: SCALE_ROOM, right: scale.width };
      tiles.draw(context, row.strip, { lit, carried: carried.has(row.strip.id) }, scale, place);
    } else if (row.folded) {
      const flags = row.group.strips.flatMap((strip) => strip.flags);
      context.save();
      context.translate(0, top);
      paintSpans(context, flags, { frames: strips.frames, x: scale.x, cell: scale.cell, height: row.height }, ink);
      context.restore();
    }
  }
  paintHappenings(context, happenings, rows, scale, end, ink);
  if (cut) {
    context.globalAlpha = 0.62;
    veil(context, scale, cut[0], cut[1], end, ink.sheet);
    context.globalAlpha = 1;
  }
  if (range) {
    const [left, right] = [scale.x(range.from) - scale.cell / 2, scale.x(range.to) + scale.cell / 2];
    context.fillStyle = ink.ink;
    context.globalAlpha = 0.07;
    context.fillRect(left, 0, right - left, end);
    context.globalAlpha = 0.5;
    context.fillRect(Math.round(left), 0, 1, end);
    context.fillRect(Math.round(right) - 1, 0, 1, end);
    context.globalAlpha = 1;
  }
  context.restore();
}
