import type { Bend } from "../../measure/redraw/redraw.ts";
import type { Report } from "../../model/index.ts";
import { rowsOf } from "./part-drift.ts";

/** Distance, px of the picture, over which a node speaks for what lies around it. */
const REACH = 10;
/** A node's way of so many sigmas is hardly there, and of so many it is drawn whole: where the surface is flagged, and where not. */
const FLAGGED = [2, 4] as const;
const UNFLAGGED = [5, 8] as const;
/** The same by size where nothing is flagged, px. */
const SMALL = [0.1, 0.2] as const;

const between = (value: number, [low, high]: readonly [number, number]): number =>
  Math.min(1, Math.max(0, (value - low) / (high - low)));
/** Cells of the field are this far apart, px. */
const CELL = 6;

type Node = readonly [x: number, y: number, dx: number, dy: number];

/**
 * How far a surface has gone over its carrier by a frame, as its nodes tell it at the last one: what they went, by the
 * share that was left over in this frame of what was in that one. Null where no node went surely.
 */
export function nodesAt(report: Report, part: string, anchor: number, frame: number): readonly Node[] | null {
  const surface = report.surfaces?.find((each) => each.part === part && each.anchor === anchor);
  if (surface === undefined || frame <= anchor) return null;
  const crawl = (at: number): number | null => rowsOf(report, part).get(at)?.crawlPx ?? null;
  const [now, last] = [crawl(frame), crawl(surface.frame)];
  // Without numbers of its own the way is taken as even.
  const share =
    now !== null && last !== null && last > 0 ? now / last : (frame - anchor) / Math.max(1, surface.frame - anchor);
  const flagged = report.flags.some((flag) => flag.part === part && flag.to >= anchor && flag.from <= surface.frame);
  const nodes = surface.nodes.map(([x, y, dx, dy, sigma]): Node => {
    const size = Math.hypot(dx, dy);
    const sure = between(size / Math.max(1e-3, sigma), flagged ? FLAGGED : UNFLAGGED);
    const drawn = share * sure * (flagged ? 1 : between(size, SMALL));
    return [x, y, dx * drawn, dy * drawn];
  });
  return nodes.some(([, , dx, dy]) => dx !== 0 || dy !== 0) ? nodes : null;
}

/**
 * A smooth field through nodes: Gaussian means, falling to nothing away from them.
 * @param times how many times as far everything goes
 * @param scale px of the picture for a px of the frame
 */
export function bendOf(nodes: readonly Node[], times: number, scale: number): Bend {
  const [cell, reach] = [CELL, REACH * scale];
  const xs = nodes.map(([x]) => x * scale);
  const ys = nodes.map(([, y]) => y * scale);
  const margin = 3 * reach;
  const [left, top] = [Math.min(...xs) - margin, Math.min(...ys) - margin];
  const cols = Math.ceil((Math.max(...xs) + margin - left) / cell) + 2;
  const rows = Math.ceil((Math.max(...ys) + margin - top) / cell) + 2;
  const weight = new Float32Array(cols * rows);
  const bx = new Float32Array(cols * rows);
  const by = new Float32Array(cols * rows);
  nodes.forEach(([, , dx, dy], n) => {
    const [c0, r0] = [(xs[n] - left) / cell, (ys[n] - top) / cell];
    const span = Math.ceil(margin / cell);
    for (let r = Math.max(0, Math.floor(r0) - span); r <= Math.min(rows - 1, r0 + span); r++) {
      for (let c = Math.max(0, Math.floor(c0) - span); c <= Math.min(cols - 1, c0 + span); c++) {
        const far = (((c - c0) * cell) ** 2 + ((r - r0) * cell) ** 2) / (reach * reach);
        const w = Math.exp(-far / 2);
        const at = r * cols + c;
        weight[at] += w;
        bx[at] += w * dx * scale * times;
        by[at] += w * dy * scale * times;
      }
    }
  });
  let most = 0;
  for (let i = 0; i < weight.length; i++) {
    // Where no node speaks loudly the field dies away.
    const sum = Math.max(weight[i], 0.2);
    bx[i] /= sum;
    by[i] /= sum;
    most = Math.max(most, Math.hypot(bx[i], by[i]));
  }
  return {
    most,
    at(x, y) {
      const [u, v] = [(x - left) / cell, (y - top) / cell];
      const [i, j] = [Math.floor(u), Math.floor(v)];
      if (i < 0 || j < 0 || i + 1 >= cols || j + 1 >= rows) return [0, 0];
      const [f, g] = [u - i, v - j];
      const at = j * cols + i;
      const mix = (field: Float32Array): number =>
        (1 - g) * ((1 - f) * field[at] + f * field[at + 1]) +
        g * ((1 - f) * field[at + cols] + f * field[at + cols + 1]);
      return [mix(bx), mix(by)];
    },
  };
}
