import { median } from "../../../measure/statistics/robust.ts";
import type { Part } from "../../../model/index.ts";
import type { FrameNumber } from "../../../units/index.ts";
import type { LeftOverSeries } from "../../series.ts";
import { nodesAround, nodeSeries } from "./left-over-windows.ts";

// Cloth or hair that jitters without going anywhere: its nodes scatter more than noise from frame to frame, and what
// one frame did the next takes back.

/** How many times noise the nodes must scatter: far beyond what sigmas can be wrong by. A stated number. */
export const JITTER_RATIO = 2.5;
/**
 * Correlation of one frame's change with the next one's: -0.5 where every frame is a place of its own, 0 and above where
 * a carrier is not followed well.
 */
const TAKEN_BACK = -0.25;
/** What interpolation and JPEG leave of one node at the least, px. */
const FLOOR = 0.02;
/** Sigma up to which a node tells the way along its worse axis too, px. */
const ROUND = 0.06;
/** 95th percentile of the length of two normal numbers over that of one: sqrt(2 ln 20) / 1.96. */
const ONE_AXIS = 1.249;
const LEAST_ROWS = 5;
const LEAST_NODES = 9;
const SHARE = 0.95;

export interface Jitter {
  readonly part: Part;
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  /** 95th percentile over nodes and frames, about each node's middle place. */
  readonly px: number;
  readonly sigma: number;
  /** Scatter over that of noise, in the middle frame. */
  readonly ratio: number;
}

export function jitterOf(series: LeftOverSeries): Jitter | null {
  const rows = series.frames.length;
  if (rows < LEAST_ROWS) return null;
  const nodes = nodeSeries(series);
  const known = nodes.flatMap((own, i) => (own === null ? [] : [i]));
  if (known.length < LEAST_NODES) return null;
  const changes = known.map((i) => {
    const { x, y } = nodes[i]!;
    return [centred(changesOf(x)), centred(changesOf(y))] as const;
  });
  // What all nodes do in a frame is the carrier's.
  for (let r = 0; r < rows - 1; r++)
    for (const axis of [0, 1] as const) {
      const common = median(changes.map((one) => one[axis][r]));
      for (const one of changes) one[axis][r] -= common;
    }
  // Along its lines a texture tells little, and that unsurely: each node is asked along the axis that it tells best.
  const axes = known.map((i) => bestAxis(series.covariance.subarray(3 * i, 3 * i + 3)));
  const alongBest = (r: number, k: number): number =>
    (changes[k][0][r] * axes[k].x + changes[k][1][r] * axes[k].y) / Math.hypot(axes[k].sigma, FLOOR);
  const ratios = Array.from({ length: rows - 1 }, (_, r) =>
    Math.sqrt(changes.reduce((sum, _one, k) => sum + alongBest(r, k) ** 2, 0) / changes.length),
  );
  const ratio = median(ratios);
  let [square, back] = [0, 0];
  for (let k = 0; k < changes.length; k++)
    for (let r = 1; r < rows - 1; r++) {
      square += alongBest(r, k) ** 2;
      back += alongBest(r, k) * alongBest(r - 1, k);
    }
  if (!(ratio > JITTER_RATIO) || !(back < TAKEN_BACK * square)) return null;
  const plain = nodes.flatMap((own) => (own === null ? [NOTHING, NOTHING] : [centred(own.x), centred(own.y)]));
  const isRound = median(axes.map(({ across }) => across)) < ROUND;
  const largest = (places: readonly Float64Array[]): number => {
    const sizes: number[] = [];
    for (let r = 1; r < rows; r++) {
      const here = known.map((i) => [places[2 * i][r], places[2 * i + 1][r]] as const);
      const [commonX, commonY] = [median(here.map(([x]) => x)), median(here.map(([, y]) => y))];
      here.forEach(([x, y], k) => {
        const [u, v] = [x - commonX, y - commonY];
        sizes.push(isRound ? Math.hypot(u, v) : ONE_AXIS * Math.abs(u * axes[k].x + v * axes[k].y));
      });
    }
    sizes.sort((one, other) => one - other);
    return sizes[Math.floor(SHARE * sizes.length)] * Math.sqrt(Math.max(0, 1 - 1 / ratio ** 2));
  };
  const size = largest(restored(series, nodes));
  const noise = median(axes.map(({ sigma }) => sigma));
  return {
    part: series.part,
    from: series.frames[1],
    to: series.frames[rows - 1],
    px: size,
    // Of patches as small as a subset, as much again may be averaged away as was put back.
    sigma: Math.hypot(noise, size - largest(plain)),
    ratio,
  };
}

const NOTHING = new Float64Array(0);

interface Axis {
  /** Unit vector along which a node tells most, with its sigma along it and across, px. */
  readonly x: number;
  readonly y: number;
  readonly sigma: number;
  readonly across: number;
}

function bestAxis([xx, xy, yy]: Float64Array): Axis {
  const half = (xx - yy) / 2;
  const spread = Math.hypot(half, xy);
  // The smaller eigenvalue's direction is across the larger one's.
  const angle = Math.atan2(xy, half) / 2 + Math.PI / 2;
  const middle = (xx + yy) / 2;
  return {
    x: Math.cos(angle),
    y: Math.sin(angle),
    sigma: Math.sqrt(Math.max(0, middle - spread)),
    across: Math.sqrt(middle + spread),
  };
}

const changesOf = (values: Float64Array): Float64Array => {
  const out = new Float64Array(values.length - 1);
  for (let r = 1; r < values.length; r++) out[r - 1] = values[r] - values[r - 1];
  return out;
};

function centred(values: Float64Array): Float64Array {
  const middle = median(values);
  return values.map((value) => value - middle);
}

/** Places of the nodes about their middle ones, x and y by turns, with what a subset averages away put back: as in left-over-patch.ts. */
function restored(series: LeftOverSeries, nodes: ReturnType<typeof nodeSeries>): Float64Array[] {
  const around = nodesAround(series.cells);
  const moment = (series.size / series.step) ** 2 / 12;
  return nodes.flatMap((own, i) => {
    if (own === null) return [NOTHING, NOTHING];
    const near = around(i, 1).filter(
      (j) =>
        j !== i &&
        nodes[j] !== null &&
        (series.cells[2 * i] === series.cells[2 * j] || series.cells[2 * i + 1] === series.cells[2 * j + 1]),
    );
    return (["x", "y"] as const).map((axis) =>
      centred(
        own[axis].map((value, r) => {
          if (near.length < 4) return value;
          const mean = near.reduce((sum, j) => sum + nodes[j]![axis][r], 0) / near.length;
          return value + (moment / 2) * 4 * (value - mean);
        }),
      ),
    );
  });
}
