import { scaleLinear } from "d3-scale";

/** Frames along the strips: each has a column of its own, in the order and at the distance of its number. */
export interface FrameScale {
  readonly width: number;
  /** Width of a frame's column, px. */
  readonly cell: number;
  /** Width of all frames together, px: more than there is room for where one looks closer. */
  readonly whole: number;
  /** How much of it lies to the left of what is in sight, px; a whole number of screen px. */
  readonly offset: number;
  /** First and last index of the frames that are in sight, at least in part. */
  readonly inSight: readonly [number, number];
  /** Middle of a frame's column, px. */
  x(frame: number): number;
  /** The same from the left end of all frames. */
  along(frame: number): number;
  /** The frame whose column is nearest. */
  at(x: number): number;
  /** Frames to write a number at, those in sight alone, at least `apart` px from each other. */
  ticks(apart?: number): readonly number[];
}

/** What of the frames is in sight. */
export interface Stretch {
  /** How many times closer than the whole shot; 1: every frame is in sight. */
  readonly zoom: number;
  /** Left end of what is in sight, as a share of the whole. */
  readonly from: number;
}

export const wholeShot: Stretch = { zoom: 1, from: 0 };

const MARGIN = 6;
/** Room before the first frame, where each strip says how far it reaches, px. */
export const SCALE_ROOM = 66;
/** A frame's column is never wider than this, px. */
const WIDEST_CELL = 64;

/** Px between frames that lie next to each other, were all in sight. */
const roomOf = (width: number) => Math.max(1, width - SCALE_ROOM - MARGIN);

/** Smallest distance between the numbers of two frames. */
function stepOf(frames: readonly number[]): number {
  let step = Infinity;
  for (let i = 1; i < frames.length; i++) step = Math.min(step, frames[i]! - frames[i - 1]!);
  return Number.isFinite(step) ? step : 1;
}

/** How closely one can look at a shot. */
export function closest(frames: readonly number[], width: number): number {
  const step = stepOf(frames);
  const columns = ((frames.at(-1) ?? 1) - (frames[0] ?? 1)) / step + 1;
  return Math.max(1, (WIDEST_CELL * columns) / roomOf(width));
}

/** A stretch that is within the shot. */
export function within({ zoom, from }: Stretch, most: number): Stretch {
  const scale = Math.min(most, Math.max(1, zoom));
  return { zoom: scale, from: Math.min(1 - 1 / scale, Math.max(0, from)) };
}

/** Index of the first of the rising `frames` that is at least `frame`. */
export function indexAtLeast(frames: readonly number[], frame: number): number {
  let [low, high] = [0, frames.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (frames[middle]! < frame) low = middle + 1;
    else high = middle;
  }
  return low;
}

export function frameScale(
  frames: readonly number[],
  width: number,
  { zoom, from }: Stretch = wholeShot,
  ratio = 1,
): FrameScale {
  const first = frames[0] ?? 1;
  const last = frames[frames.length - 1] ?? 1;
  const step = stepOf(frames);
  const room = roomOf(width);
  const whole = room * zoom;
  const start = first - step / 2;
  const cell = (whole * step) / (last - first + step);
  const perFrame = cell / step;
  const offset = Math.round(from * whole * ratio) / ratio;
  const along = (frame: number) => (frame - start) * perFrame;
  const x = (frame: number) => SCALE_ROOM + along(frame) - offset;
  const frameAt = (place: number) => start + (place - SCALE_ROOM + offset) / perFrame;
  const inSight = [
    Math.max(0, indexAtLeast(frames, frameAt(SCALE_ROOM) - step / 2)),
    Math.min(frames.length, indexAtLeast(frames, frameAt(SCALE_ROOM + room) + step / 2)) - 1,
  ] as const;
  return {
    width,
    cell,
    whole,
    offset,
    inSight,
    x,
    along,
    at(place) {
      const frame = frameAt(place);
      const next = indexAtLeast(frames, frame);
      const [before, after] = [frames[next - 1] ?? first, frames[next] ?? last];
      return frame - before <= after - frame ? before : after;
    },
    ticks(apart = 72) {
      const [low, high] = [frames[inSight[0]] ?? first, frames[inSight[1]] ?? last];
      if (perFrame * (high - low) < 40) return [low];
      const scale = scaleLinear([low, high], [x(low), x(high)]);
      const fitting = scale.ticks(Math.max(2, Math.floor(room / apart))).filter((tick) => Number.isInteger(tick));
      const marks = fitting.filter((tick) => tick > low && tick <= high);
      // Closer up the left end is wherever one scrolled to: a number of its own there would run along.
      if (zoom > 1) return fitting.filter((tick) => tick >= low && tick <= high);
      const gap = (fitting[1] ?? high) - (fitting[0] ?? low);
      return [low, ...marks.filter((tick) => tick - low > gap * 0.6)];
    },
  };
}

/** Rows of the parts are as high as fits; never lower than what a finger or a shaking hand can hit. */
const ROW_MIN = 24;
const ROW_MAX = 38;
const ROW_WANTED = 26;
/** Rows of camera and light, which stay in sight. */
export const FRAME_ROW = 27;
export const AXIS_HEIGHT = 34;
/** The whole shot in small, px. */
export const OVERVIEW_HEIGHT = 24;
/** A puppet's name over its parts, px. */
export const HEAD_ROW = 24;

export const rowHeightFor = (rows: number, room: number): number =>
  Math.max(ROW_MIN, Math.min(ROW_MAX, Math.floor(room / Math.max(1, rows))));

/** Height that shows every strip of a shot, px. */
export const wantedHeight = (parts: number): number =>
  AXIS_HEIGHT + ROW_WANTED * parts + 2 * HEAD_ROW + 2 * FRAME_ROW + OVERVIEW_HEIGHT + 6;
