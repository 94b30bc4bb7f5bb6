import { median } from "../../../measure/statistics/robust.ts";
import type { Part } from "../../../model/index.ts";
import type { FrameNumber } from "../../../units/index.ts";
import type { LeftOverSeries } from "../../series.ts";
import { nodeSeries } from "./left-over-windows.ts";

// Cloth or hair that jitters without going anywhere: its nodes scatter more than noise from frame to frame, and what
// one frame did the next takes back.

/**
 * How many times noise the nodes must scatter. Over 200 surfaces of clean rendered cloth, skin and hair went from 0.2 to
 * 1.05 (noise 0.5 to 2, JPEG and not); cloth that boils by 0.3 px rms in patches of 25 px went from 2.1 up, on painted skin
 * at noise 2. What lies between is for sigmas that are wrong.
 */
export const JITTER_RATIO = 1.6;
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
/** Standard widths of the patches that are tried, px; how many nodes apart is asked, and the samples of an integral. */
const PATCHES = [5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 16, 18, 21, 25, 30, 40, 60];
const LAGS = 3;
const SAMPLES = 40;
/** Cosine between two nodes' axes from which on they tell the same. */
const ALIGNED = 0.7;
/** Share of what is put back that counts as uncertain. */
const RESTORED_TO = 0.35;
const LEAST_ROWS = 5;
const LEAST_NODES = 9;
const SHARE = 0.95;

export interface Jitter {
  readonly part: Part;
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  /** 95th percentile over surface and frames, about each place's mean, without what all of it did together in a frame. */
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
  const isRound = median(axes.map(({ across }) => across)) < ROUND;
  // The field that stands for the carrier follows a boil a little: against the set nothing of it is taken away.
  const told: LeftOverSeries = series.whole === undefined ? series : { ...series, ...series.whole };
  const places = aboutCommon(nodeSeries(told), known);
  const restore = 1 / shareOf(series, known, places, axes);
  const sizes: number[] = [];
  for (let r = 0; r < rows; r++)
    places.forEach(([x, y], k) => {
      const [u, v] = [x[r], y[r]];
      sizes.push(isRound ? Math.hypot(u, v) : ONE_AXIS * Math.abs(u * axes[k].x + v * axes[k].y));
    });
  sizes.sort((one, other) => one - other);
  const plain = sizes[Math.floor(SHARE * sizes.length)] * Math.sqrt(Math.max(0, 1 - 1 / ratio ** 2));
  const size = restore * plain;
  const noise = median(axes.map(({ sigma }) => sigma));
  return {
    part: series.part,
    from: series.frames[1],
    to: series.frames[rows - 1],
    px: size,
    sigma: Math.hypot(noise, RESTORED_TO * (size - plain)),
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

type Places = readonly (readonly [Float64Array, Float64Array])[];

const meanOf = (values: ArrayLike<number>): number => {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i];
  return sum / Math.max(1, values.length);
};

/**
 * Each known node about its mean place, without what all of them did in a frame. Means, since about a median of few rows
 * they scatter more.
 */
function aboutCommon(nodes: ReturnType<typeof nodeSeries>, known: readonly number[]): Places {
  const places = known.map((i) => {
    const own = nodes[i];
    return own === null ? ([NOTHING, NOTHING] as const) : ([own.x.slice(), own.y.slice()] as const);
  });
  const rows = places.find(([x]) => x.length > 0)?.[0].length ?? 0;
  for (const axis of [0, 1] as const) {
    for (let r = 0; r < rows; r++) {
      const common = meanOf(places.flatMap((one) => (one[axis].length > 0 ? [one[axis][r]] : [])));
      for (const one of places) if (one[axis].length > 0) one[axis][r] -= common;
    }
    for (const one of places) {
      const mean = meanOf(one[axis]);
      one[axis].forEach((value, r) => {
        one[axis][r] = value - mean;
      });
    }
  }
  return places;
}

/**
 * The share of the jitter that the nodes show: a subset averages over its own square. What all did together is no part of
 * the jitter. From how nodes side by side go together, under a jitter whose patches are Gaussian. Noise is taken off
 * first, shared pixels and all.
 */
function shareOf(
  { cells, step, size }: LeftOverSeries,
  known: readonly number[],
  places: Places,
  axes: readonly Axis[],
): number {
  const at = new Map<string, number>();
  known.forEach((i, k) => at.set(`${cells[2 * i]} ${cells[2 * i + 1]}`, k));
  const alongBest = places.map(([x, y], k) => x.map((value, r) => value * axes[k].x + y[r] * axes[k].y));
  const together = Array.from({ length: LAGS + 1 }, (_, lag) => {
    let [sum, count] = [0, 0];
    known.forEach((i, k) => {
      for (const [c, r] of lag === 0
        ? [[0, 0]]
        : [
            [lag, 0],
            [0, lag],
          ]) {
        const other = at.get(`${cells[2 * i] + c} ${cells[2 * i + 1] + r}`);
        if (other === undefined) continue;
        const aligned = axes[k].x * axes[other].x + axes[k].y * axes[other].y;
        if (Math.abs(aligned) < ALIGNED) continue;
        const noise = (axes[k].sigma * axes[other].sigma * Math.max(0, 1 - (lag * step) / size)) / 2;
        alongBest[k].forEach((value, row) => {
          sum += value * alongBest[other][row] * Math.sign(aligned) - noise;
          count++;
        });
      }
    });
    return count === 0 ? Number.NaN : sum / count;
  });
  if (!(together[0] > 0)) return 1;
  let best = { left: Number.POSITIVE_INFINITY, share: 1 };
  const nodes: Cells = known.map((i) => [cells[2 * i], cells[2 * i + 1]]);
  const surface = withRim(nodes, Math.round(size / step / 2));
  const widest = Math.max(...cells) - Math.min(...cells) + Math.ceil(size / step) + 1;
  for (const patch of PATCHES) {
    const axis = Array.from({ length: widest + 1 }, (_, lag) => shownTogether(lag * step, patch, size));
    // What all nodes did together was taken away, and with it what any two of them have in common on the average.
    const point = axis.map((_, lag) => Math.exp(-((lag * step) ** 2) / (2 * patch * patch)));
    const common = togetherOn(nodes, axis);
    const ofPoints = togetherOn(surface, point);
    const shown = together.map((_, lag) => axis[lag] * axis[0] - common);
    const left = together.reduce((sum, value, lag) => {
      if (lag === 0 || !Number.isFinite(value)) return sum;
      return sum + (value / together[0] - shown[lag] / shown[0]) ** 2;
    }, 0);
    if (left < best.left) best = { left, share: Math.sqrt(shown[0] / (1 - ofPoints)) };
  }
  return best.share;
}

type Cells = readonly (readonly [number, number])[];

/** What any two of them have in common on the average, by how two go together so many cells apart along each axis. */
function togetherOn(places: Cells, axis: readonly number[]): number {
  let sum = 0;
  for (const [a, b] of places) for (const [c, d] of places) sum += axis[Math.abs(a - c)] * axis[Math.abs(b - d)];
  return sum / places.length ** 2;
}

/** The cells with those around them, which no subset fits into but the surface covers. */
function withRim(places: Cells, rim: number): Cells {
  const out = new Map<string, readonly [number, number]>();
  for (const [c, r] of places)
    for (let u = c - rim; u <= c + rim; u++) for (let v = r - rim; v <= r + rim; v++) out.set(`${u} ${v}`, [u, v]);
  return [...out.values()];
}

/** How two subsets go together along one axis, where points so far apart go by exp(-d^2 / (2 patch^2)). */
function shownTogether(distance: number, patch: number, size: number): number {
  let sum = 0;
  for (let k = 0; k < SAMPLES; k++) {
    const t = (2 * (k + 0.5)) / SAMPLES - 1;
    sum += (1 - Math.abs(t)) * Math.exp(-((distance + t * size) ** 2) / (2 * patch * patch));
  }
  return (2 * sum) / SAMPLES;
}
