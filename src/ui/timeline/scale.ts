import { scaleLinear } from "d3-scale";

/** Frames along the strips: each has a column of its own, in the order and at the distance of its number. */
export interface FrameScale {
  readonly width: number;
  /** Width of a frame's column, px. */
  readonly cell: number;
  /** Middle of a frame's column, px. */
  x(frame: number): number;
  /** The frame whose column is nearest. */
  at(x: number): number;
  ticks(): readonly number[];
}

const MARGIN = 6;
/** Room before the first frame, where each strip says how far it reaches, px. */
export const SCALE_ROOM = 46;

export function frameScale(frames: readonly number[], width: number): FrameScale {
  const first = frames[0] ?? 1;
  const last = frames[frames.length - 1] ?? 1;
  let step = Infinity;
  for (let i = 1; i < frames.length; i++) step = Math.min(step, frames[i] - frames[i - 1]);
  if (!Number.isFinite(step)) step = 1;
  const scale = scaleLinear(
    [first - step / 2, last + step / 2],
    [SCALE_ROOM, Math.max(SCALE_ROOM + 1, width - MARGIN)],
  );
  const cell = scale(first + step) - scale(first);
  return {
    width,
    cell,
    x: (frame) => scale(frame),
    at(x) {
      const frame = scale.invert(x);
      return frames.reduce((best, each) => (Math.abs(each - frame) < Math.abs(best - frame) ? each : best), first);
    },
    ticks() {
      if (cell * (last - first) < 40) return [first];
      const fitting = scale.ticks(Math.max(2, Math.floor(width / 72))).filter((tick) => Number.isInteger(tick));
      const marks = fitting.filter((tick) => tick > first && tick <= last);
      const gap = (fitting[1] ?? last) - (fitting[0] ?? first);
      return [first, ...marks.filter((tick) => tick - first > gap * 0.6)];
    },
  };
}

/** Rows of the parts are as high as fits; never lower than what a finger or a shaking hand can hit. */
const ROW_MIN = 24;
const ROW_MAX = 38;
const ROW_WANTED = 26;
/** Rows of camera and light, which stay in sight. */
export const FRAME_ROW = 27;
export const AXIS_HEIGHT = 27;

export const rowHeightFor = (rows: number, room: number): number =>
  Math.max(ROW_MIN, Math.min(ROW_MAX, Math.floor(room / Math.max(1, rows))));

/** Height that shows every strip of a shot, px. */
export const wantedHeight = (parts: number): number => AXIS_HEIGHT + ROW_WANTED * parts + 2 * FRAME_ROW + 6;
