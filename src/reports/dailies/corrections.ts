import { type CameraMotion, timecodeOf } from "../../model/index.ts";
import { gainOfStops, stops } from "../../units/index.ts";
import { type Cell, writeCsv } from "../csv.ts";
import type { Dailies, DailiesShot } from "./dailies.ts";

// What compositing needs to lay every frame of a held camera on the first one: what the picture did, and what undoes it.

const header = [
  "shot",
  "take",
  "frame",
  "timecode",
  "file",
  "measured_dx_px_right",
  "measured_dy_px_down",
  "measured_sigma_px",
  "measured_turn_deg_clockwise",
  "measured_sigma_turn_deg",
  "measured_scale",
  "measured_light_stops",
  "apply_dx_px_right",
  "apply_dy_px_down",
  "apply_turn_deg_clockwise",
  "apply_scale",
  "apply_gain_linear_light",
];

const DEGREES = 180 / Math.PI;
/** A thousandth of what can be measured: what is beyond it is no information. */
const rounded = (value: number): number => Number(value.toFixed(7));
/** Without the minus sign of a zero. */
const cell = (value: number): number => rounded(value) + 0;

export interface Undoing {
  /** px, x right, y down, applied after turn and scale about the frame's centre. */
  readonly dx: number;
  readonly dy: number;
  /** Radians, clockwise as seen. */
  readonly turn: number;
  readonly scale: number;
}

/**
 * The similarity that takes a frame's picture back onto the first frame: turn and scale about the frame's centre, then
 * shift. The motion is p' = c + s R (p - c) + d, so the way back is p = c + R' (p' - c) / s - R' d / s.
 */
export const undoingOf = ({ dx, dy, turn, scale }: CameraMotion): Undoing => {
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  return {
    dx: -(cos * dx + sin * dy) / scale,
    dy: -(-sin * dx + cos * dy) / scale,
    turn: 0 - turn,
    scale: 1 / scale,
  };
};

const rowsOf = ({ name, take, frames, cut, source, counting }: DailiesShot, whole: boolean): Cell[][] => {
  const wanted = new Set<number>(
    whole || cut === null ? frames : frames.filter((frame) => frame >= cut.from && frame <= cut.to),
  );
  return source.report.frames
    .filter(({ frame }) => wanted.has(frame))
    .map(({ frame, file, camera, lightStops }) => {
      const undoing = camera === null ? null : undoingOf(camera);
      const measured =
        camera === null
          ? [null, null, null, null, null, null]
          : [
              cell(camera.dx),
              cell(camera.dy),
              cell(camera.sigma),
              cell(camera.turn * DEGREES),
              camera.sigmaTurn == null ? null : cell(camera.sigmaTurn * DEGREES),
              cell(camera.scale),
            ];
      const apply =
        undoing === null
          ? [null, null, null, null]
          : [cell(undoing.dx), cell(undoing.dy), cell(undoing.turn * DEGREES), cell(undoing.scale)];
      return [
        name,
        take,
        frame,
        timecodeOf(frame, counting.fps, counting.timecodeStart),
        file,
        ...measured,
        lightStops === null ? null : cell(lightStops),
        ...apply,
        lightStops === null ? null : cell(gainOfStops(stops(0 - lightStops))),
      ];
    });
};

/**
 * A row a frame: the motion of the still background against the shot's first frame, and what takes it back. Frames
 * whose camera or light could not be told have empty cells, never zeros. Light has no uncertainty a frame in the report.
 */
export const correctionsCsv = ({ days, filter }: Dailies): string =>
  writeCsv(
    header,
    days.flatMap(({ shots }) => shots.flatMap((shot) => rowsOf(shot, filter.wholeShot))),
  );
