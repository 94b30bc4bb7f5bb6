import { BLOCK, type ChangedBlocks } from "../measure/changed-blocks.ts";
import { convexHull } from "../measure/hull.ts";
import type { Polygon } from "../measure/mask.ts";
import { median } from "../measure/statistics/robust.ts";
import type { FrameNumber } from "../units/index.ts";

// Blocks that changed, put together to things: what touches in one frame, and what is in the same place in the next.
// A thing that came and stays where it is, or is gone after a frame or two, is no animation; what goes on through the
// frames, or changes as it stays, is something that moves.

/** Blocks of a frame beyond this are no stray but another picture. */
const MOST_BLOCKS = 4000;
/** Blocks so far apart still belong to one thing: of a large one only the edge differs from what is round about. */
const APART = 3;
/** A thing of its own stands out from the set; the shadows and reflections of what moves mostly don't, grey levels of 255. */
const LEAST_PEAK = 12;
/** Pieces of one thing lie no farther apart, px. */
const TOGETHER = 48;
/** A thing that is gone after so many frames need not have been still. */
const BRIEF = 2;
/** The blocks that a still thing ever covers, over those that it covers in a frame. */
const MOST_SPREAD = 1.8;
/** Scatter of a still thing's change from frame to frame, over the change. */
const MOST_SCATTER = 0.25;
/** Edge pixels at the ends of a diameter are seen half: that much of it is uncertain, px. */
const EDGE_SIGMA = 1;
/** A block far fainter than the thing's strongest is the skirt of its blur. */
const SKIRT = 0.25;

/** Something that was not there before, px of the analysed frame. */
export interface StrayThing {
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  readonly diameter: number;
  readonly sigma: number;
  readonly outline: Polygon;
  /** Largest change of a block of it, grey levels. */
  readonly peak: number;
  /** Standard errors of its strongest block in its weakest frame. */
  readonly z: number;
}

interface KeptBlocks {
  readonly frame: FrameNumber;
  readonly blocks: ChangedBlocks;
}

/** Keeps what changed in each frame, outside what is meant to move. */
export class StrayCollector {
  private readonly kept: KeptBlocks[] = [];

  /** @param exempt places (centre of a block, px of the analysed frame) where change is meant */
  take(frame: FrameNumber, blocks: ChangedBlocks, exempt: (x: number, y: number) => boolean): void {
    const { cols } = blocks;
    const chosen = [...blocks.index.keys()].filter((k) => {
      const i = blocks.index[k];
      return !exempt(((i % cols) + 0.5) * BLOCK, (Math.floor(i / cols) + 0.5) * BLOCK);
    });
    const some = chosen.length > MOST_BLOCKS ? [] : chosen;
    this.kept.push({
      frame,
      blocks: {
        cols,
        index: Uint32Array.from(some, (k) => blocks.index[k]),
        change: Float32Array.from(some, (k) => blocks.change[k]),
        z: Float32Array.from(some, (k) => blocks.z[k]),
        box: Float32Array.from(some.flatMap((k) => [...blocks.box.subarray(4 * k, 4 * k + 4)])),
      },
    });
  }

  /** @param restless places where something moves again and again, known only once the shot is */
  things(restless: (x: number, y: number) => boolean): StrayThing[] {
    const found: StrayThing[] = [];
    const movers: Node[] = [];
    for (const nodes of components(this.kept)) {
      const thing = thingOf(this.kept, nodes);
      if (thing === null) movers.push(...nodes);
      else if (thing.peak >= LEAST_PEAK && !thing.outline.some(([x, y]) => restless(x, y))) found.push(thing);
    }
    return joined(found.filter((thing) => !this.isBesideMover(thing, movers)));
  }

  /** What comes off at the edge of something that moves is a piece of it. */
  private isBesideMover({ from, to, outline }: StrayThing, movers: readonly Node[]): boolean {
    return movers.some(([row, k]) => {
      const { frame, blocks } = this.kept[row];
      if (frame < from - 1 || frame > to + 1) return false;
      const [left, top] = blocks.box.subarray(4 * k, 4 * k + 2);
      return outline.some(([x, y]) => Math.hypot(x - left, y - top) < TOGETHER);
    });
  }
}

/** Pieces that come and go together, side by side, are one thing: of a hand only some of the edge may show. */
function joined(things: readonly StrayThing[]): StrayThing[] {
  const out: StrayThing[] = [];
  for (const thing of things) {
    let whole = thing;
    for (;;) {
      const at = out.findIndex((one) => one.from === whole.from && one.to === whole.to && isBeside(one, whole));
      if (at < 0) break;
      const [other] = out.splice(at, 1);
      const outline = convexHull([...other.outline, ...whole.outline]);
      whole = {
        ...whole,
        outline,
        diameter: diameterOf(outline),
        peak: Math.max(other.peak, whole.peak),
        z: Math.max(other.z, whole.z),
      };
    }
    out.push(whole);
  }
  return out;
}

const isBeside = (a: StrayThing, b: StrayThing): boolean =>
  a.outline.some(([x, y]) => b.outline.some(([u, v]) => Math.hypot(u - x, v - y) < TOGETHER));

/** One block in one frame: the frame's place in the list, and the block's in the frame. */
type Node = readonly [row: number, k: number];

/** Blocks that belong together, within a frame and from each frame to the next. */
function components(kept: readonly KeptBlocks[]): Node[][] {
  const starts: number[] = [];
  let total = 0;
  for (const { blocks } of kept) {
    starts.push(total);
    total += blocks.index.length;
  }
  const parent = Int32Array.from({ length: total }, (_, i) => i);
  const rootOf = (i: number): number => {
    let at = i;
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]];
      at = parent[at];
    }
    return at;
  };
  const join = (a: number, b: number): void => {
    const [p, q] = [rootOf(a), rootOf(b)];
    parent[Math.max(p, q)] = Math.min(p, q);
  };
  let before = new Map<number, number>();
  kept.forEach(({ blocks: { index, cols } }, row) => {
    const here = new Map<number, number>();
    index.forEach((block, k) => here.set(block, starts[row] + k));
    index.forEach((block, k) => {
      const c = block % cols;
      for (let v = -APART; v <= APART; v++)
        for (let u = -APART; u <= APART; u++) {
          if (c + u < 0 || c + u >= cols) continue;
          const beside = block + v * cols + u;
          const same = here.get(beside);
          if (same !== undefined) join(starts[row] + k, same);
          const earlier = before.get(beside);
          if (earlier !== undefined) join(starts[row] + k, earlier);
        }
    });
    before = here;
  });
  const groups = new Map<number, Node[]>();
  kept.forEach(({ blocks: { index } }, row) =>
    index.forEach((_, k) => {
      const root = rootOf(starts[row] + k);
      const group = groups.get(root);
      if (group === undefined) groups.set(root, [[row, k]]);
      else group.push([row, k]);
    }),
  );
  return [...groups.values()];
}

function thingOf(kept: readonly KeptBlocks[], nodes: readonly Node[]): StrayThing | null {
  const byRow = new Map<number, number[]>();
  const byBlock = new Map<number, number[]>();
  for (const [row, k] of nodes) {
    const { index, change } = kept[row].blocks;
    byRow.set(row, [...(byRow.get(row) ?? []), k]);
    byBlock.set(index[k], [...(byBlock.get(index[k]) ?? []), change[k]]);
  }
  const rows = [...byRow.keys()].sort((a, b) => a - b);
  const areas = rows.map((row) => byRow.get(row)?.length ?? 0);
  if (rows.length > BRIEF) {
    if (byBlock.size > MOST_SPREAD * median(areas) + 2) return null;
    const scatter = [...byBlock.values()]
      .filter((changes) => changes.length > rows.length / 2)
      .map((changes) => {
        const usual = median(changes);
        return median(changes.map((value) => Math.abs(value - usual))) / Math.abs(usual);
      });
    if (scatter.length === 0 || median(scatter) > MOST_SCATTER) return null;
  }
  // Told in the frame in which it is largest.
  const strongest = rows.map((row) =>
    Math.max(...(byRow.get(row) ?? []).map((k) => Math.abs(kept[row].blocks.change[k]))),
  );
  const largest = rows[areas.indexOf(Math.max(...areas))];
  const peak = strongest[rows.indexOf(largest)];
  const { blocks } = kept[largest];
  const points = (byRow.get(largest) ?? [])
    .filter((k) => Math.abs(blocks.change[k]) >= SKIRT * peak)
    .flatMap((k): [number, number][] => {
      const [left, top, right, bottom] = blocks.box.subarray(4 * k, 4 * k + 4);
      return [
        [left, top],
        [right, top],
        [right, bottom],
        [left, bottom],
      ];
    });
  const outline = convexHull(points);
  return {
    from: kept[rows[0]].frame,
    to: kept[rows[rows.length - 1]].frame,
    diameter: diameterOf(outline),
    sigma: Math.SQRT2 * EDGE_SIGMA,
    outline,
    peak,
    z: Math.min(...rows.map((row) => Math.max(...(byRow.get(row) ?? []).map((k) => Math.abs(kept[row].blocks.z[k]))))),
  };
}

/** Largest width of a polygon over all directions would count the corners of single pixels: the larger side of its box. */
function diameterOf(outline: Polygon): number {
  const xs = outline.map(([x]) => x);
  const ys = outline.map(([, y]) => y);
  const box = Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys));
  // Of something long that lies aslant the box is too small.
  const far = Math.max(...outline.flatMap(([x, y]) => outline.map(([u, v]) => Math.hypot(u - x, v - y))));
  return Math.max(box, far - 0.42 * box);
}
