import { createHash } from "node:crypto";
import path from "node:path";
import sharp from "sharp";
import type { Flag, Report } from "../model/index.ts";
import type { Dailies } from "../reports/dailies/dailies.ts";
import type { Box } from "../reports/dailies/drift-drawing.ts";
import { anchorFrame, boxOf, FINDING_QUALITY, FINDING_WIDTH } from "../reports/dailies/finding-frames.ts";
import type { FindingPictures, Picture, PicturesOf } from "../reports/dailies/html.ts";
import { FileProblem, isFile, readBytes } from "../store/adapters/files.ts";
import type { KnownShot } from "./known-shots.ts";

// Pictures of findings for notes that are written without the page: cut from the frames where they are found, else from
// the small pictures of an export. Frames are only ever read.

/** Why a picture can't be used, as a sentence that names it. */
class PictureProblem extends Error {}

/** Folders in which a shot's frames may lie: the one that was named, the report's own, and those beside both. */
const placesOf = (
  { file, report }: KnownShot,
  exports: readonly string[],
  frames: string | null,
): readonly string[] => {
  const beside = (file === null ? exports : [file]).map((each) => path.dirname(each));
  const { folder } = report.shot;
  const inside = (place: string) => (folder === "" ? [place] : [path.join(place, folder), place]);
  return [
    ...(frames === null ? [] : inside(frames)),
    ...beside.flatMap((place) => [...inside(place), ...(folder === "" ? [] : [path.join(place, "..", folder)])]),
  ];
};

/** The folder with this shot's first frame in it; null where none has it. */
const folderOf = async (shot: KnownShot, places: readonly string[]): Promise<string | null> => {
  const first = shot.report.frames[0]?.file;
  if (first === undefined) return null;
  const print = shot.stored?.record.startPrint ?? null;
  for (const place of places) {
    const file = path.join(place, first);
    if (!(await isFile(file))) continue;
    // A file of the same name may be another shot's: where the export knows the first frame's bytes they have to be these.
    if (
      print === null ||
      createHash("sha256")
        .update(await readBytes(file))
        .digest("hex") === print
    )
      return place;
  }
  return null;
};

/**
 * A piece of a picture that shows a whole frame, as a JPEG at most 720 px wide.
 *
 * @param box px of the original frame
 * @param exact the picture has to be as large as the frame: it is the frame itself
 */
const cut = async (
  bytes: Uint8Array,
  name: string,
  frame: number,
  { shot }: Report,
  box: Box,
  exact: boolean,
): Promise<Picture> => {
  try {
    const upright = sharp(bytes, { failOn: "error", ignoreIcc: true }).autoOrient();
    const { autoOrient: size } = await sharp(bytes).metadata();
    if (exact && (size.width !== shot.width || size.height !== shot.height))
      throw new PictureProblem(
        `it is ${size.width} x ${size.height} pixels, the frames of the report are ${shot.width} x ${shot.height}`,
      );
    const [sx, sy] = [size.width / shot.width, size.height / shot.height];
    const left = Math.min(size.width - 1, Math.max(0, Math.round(box.x * sx)));
    const top = Math.min(size.height - 1, Math.max(0, Math.round(box.y * sy)));
    const width = Math.max(1, Math.min(size.width - left, Math.round(box.width * sx)));
    const height = Math.max(1, Math.min(size.height - top, Math.round(box.height * sy)));
    const jpeg = await upright
      .extract({ left, top, width, height })
      .resize({ width: FINDING_WIDTH, withoutEnlargement: true })
      .jpeg({ quality: Math.round(FINDING_QUALITY * 100) })
      .toBuffer();
    return {
      dataUrl: `data:image/jpeg;base64,${jpeg.toString("base64")}`,
      frame,
      // Whole pixels of the picture were cut: that is what it shows.
      box: { x: left / sx, y: top / sy, width: width / sx, height: height / sy },
    };
  } catch (error) {
    throw new PictureProblem(`${name} gives no picture: ${error instanceof Error ? error.message : String(error)}`);
  }
};

/** Cuts the pictures of one shot; what can't be cut is told once. */
const createCutter = async (
  shot: KnownShot,
  exports: readonly string[],
  frames: string | null,
  problems: Set<string>,
): Promise<(flag: Flag) => Promise<FindingPictures>> => {
  const { report, stored } = shot;
  const folder = await folderOf(shot, placesOf(shot, exports, frames));
  if (folder === null && frames !== null) problems.add(`The frames of ${report.shot.name} are not in ${frames}`);
  const pictureOf = async (frame: number, box: Box): Promise<Picture | null> => {
    const name = report.frames.find((each) => each.frame === frame)?.file;
    if (folder !== null && name !== undefined) {
      const file = path.join(folder, name);
      try {
        return await cut(await readBytes(file), file, frame, report, box, true);
      } catch (error) {
        if (!(error instanceof PictureProblem || error instanceof FileProblem)) throw error;
        problems.add(error.message);
      }
    }
    const small = stored?.pictures.find((each) => each.frame === frame);
    if (small === undefined) return null;
    try {
      return await cut(
        small.bytes,
        `The small picture of frame ${frame} of ${report.shot.name}`,
        frame,
        report,
        box,
        false,
      );
    } catch (error) {
      if (!(error instanceof PictureProblem)) throw error;
      problems.add(error.message);
      return null;
    }
  };
  return async (flag) => {
    const box = boxOf(report, flag);
    return { anchor: await pictureOf(anchorFrame(report, flag), box), last: await pictureOf(flag.to, box) };
  };
};

/**
 * The pictures of all findings that the notes list.
 *
 * @param frames folder with the frames, or with the shots' folders in it, that a person named; null: those beside the files
 */
export const findingPictures = async (
  { days }: Dailies,
  shots: readonly KnownShot[],
  exports: readonly string[],
  frames: string | null,
): Promise<{ readonly picturesOf: PicturesOf; readonly problems: readonly string[] }> => {
  const problems = new Set<string>();
  const found = new Map<Flag, FindingPictures>();
  const byId = new Map(shots.map((shot) => [shot.id, shot] as const));
  const listed = days.flatMap((day) => day.shots);
  for (const id of new Set(listed.map(({ source }) => source.id))) {
    const shot = byId.get(id);
    const flags = listed.filter(({ source }) => source.id === id).flatMap(({ findings }) => findings);
    if (shot === undefined || flags.length === 0) continue;
    const cutter = await createCutter(shot, exports, frames, problems);
    for (const { flag } of flags) found.set(flag, await cutter(flag));
  }
  return { picturesOf: (_, flag) => found.get(flag) ?? null, problems: [...problems] };
};
