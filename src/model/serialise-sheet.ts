import { writeJson } from "./json.ts";
import type { Joint, Outline, Part, Sheet } from "./sheet.ts";

const WIDTH = 120;
/** Deeper than parts, outlines and their points nothing is broken into lines. */
const DEPTH = 6;

/** Nothing where a list is empty or a value is null: the file leaves out what the default gives anyway. */
const unlessEmpty = <T>(value: T): T | undefined =>
  value === null || (Array.isArray(value) && value.length === 0) ? undefined : value;
const unlessZero = (value: number): number | undefined => (value === 0 ? undefined : value);

const outlineOut = ({ frame, points, holes, ...others }: Outline) => ({
  frame,
  points,
  holes: unlessEmpty(holes),
  ...others,
});

const jointOut = ({ id, name, frame, at, ...others }: Joint) => ({ id, name, frame, at, ...others });

const partOut = ({
  id,
  name,
  kind,
  puppet,
  copy,
  carrier,
  outlines,
  joints,
  build,
  massGrams,
  pxPerMm,
  intoPictureDegrees,
  bandPx,
  intents,
  ...others
}: Part) => ({
  id,
  name,
  kind,
  puppet: unlessEmpty(puppet),
  copy: unlessEmpty(copy),
  carrier: unlessEmpty(carrier),
  outlines: outlines.map(outlineOut),
  joints: unlessEmpty(joints.map(jointOut)),
  build: unlessEmpty(build),
  massGrams: unlessEmpty(massGrams),
  pxPerMm: unlessEmpty(pxPerMm),
  intoPictureDegrees: unlessZero(intoPictureDegrees),
  bandPx: unlessEmpty(bandPx),
  intents: unlessEmpty(
    intents.map(({ from, to, intent, wears, ...rest }) => ({ from, to, intent, wears: unlessEmpty(wears), ...rest })),
  ),
  ...others,
});

/**
 * The text of a sheet file. Keys stand in the order of the format, unknown ones after them; what is at its default
 * is left out. Coordinates are written to the last digit: reading gives the same sheet again.
 */
export const serialiseSheet = (sheet: Sheet): string => {
  const { format, version, shot, scale, down, downIntoPicture, camera, marks, parts, ...others } = sheet;
  const { name, fps, cut, timecodeStart, pass, ...shotOthers } = shot;
  const file = {
    format,
    version,
    shot: {
      name,
      fps,
      cut: unlessEmpty(cut),
      timecodeStart: unlessEmpty(timecodeStart),
      pass: unlessEmpty(pass),
      ...shotOthers,
    },
    scale: unlessEmpty(scale),
    down,
    downIntoPicture: unlessZero(downIntoPicture),
    camera: unlessEmpty(camera.map(({ from, to, intent, ...rest }) => ({ from, to, intent, ...rest }))),
    marks: unlessEmpty(
      marks.map(({ frame, kind, part, note, ...rest }) => ({
        frame,
        kind,
        part,
        note: note === "" ? undefined : note,
        ...rest,
      })),
    ),
    parts: parts.map(partOut),
    ...others,
  };
  return writeJson(file, WIDTH, DEPTH);
};
