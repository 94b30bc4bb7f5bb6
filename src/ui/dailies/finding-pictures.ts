import type { Flag, Report } from "../../model/index.ts";
import { type Box, driftDrawing } from "../../reports/dailies/drift-drawing.ts";
import type { FindingPictures, Picture } from "../../reports/dailies/html.ts";
import { pictures } from "../state/pictures.ts";
import { session } from "../state/session.ts";
import { thumbnailOf } from "../state/thumbnails.ts";

// Pictures of the anchor and of the last frame of a finding, cut to what it is about: from the frames where the shot is
// open and they are at hand, else from the small pictures that the store keeps.

/** px across the picture that is kept of a piece of a frame. */
const WIDTH = 720;
/** Widest that a frame is asked for, px. */
const WIDEST = 1920;
const QUALITY = 0.82;

/** The frame that a flag is told against: where its track began, else the frame before. */
export function anchorFrame(report: Report, flag: Flag): number {
  const row = report.tracks.find(({ part, frame }) => part === flag.part && frame === flag.to);
  return row?.anchor ?? report.shot.frames.findLast((frame) => frame < flag.from) ?? flag.from;
}

/** What of the frame a finding is about; all of it where it has no place. */
export const boxOf = (report: Report, flag: Flag): Box =>
  driftDrawing(report, flag)?.box ?? { x: 0, y: 0, width: report.shot.width, height: report.shot.height };

async function frameBitmap(shot: string, frame: number, width: number): Promise<ImageBitmap | null> {
  const { id, files } = session.get();
  const file = id === shot ? files?.get(frame) : undefined;
  if (file !== undefined) {
    const answer = await pictures.frame(file, width);
    // It belongs to the table's own store: it is copied, never closed here.
    if (answer.ok) return createImageBitmap(answer.value);
  }
  const blob = await thumbnailOf(shot, frame);
  return blob === null ? null : createImageBitmap(blob);
}

const asDataUrl = (blob: Blob): Promise<string> =>
  new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.addEventListener("load", () => resolve(typeof reader.result === "string" ? reader.result : ""));
    reader.addEventListener("error", () => reject(reader.error ?? new Error("the picture can't be read")));
    reader.readAsDataURL(blob);
  });

async function cut(report: Report, shot: string, frame: number, box: Box): Promise<Picture | null> {
  const { width, height } = report.shot;
  const wanted = Math.min(WIDEST, width, Math.ceil((WIDTH * width) / box.width));
  const whole = await frameBitmap(shot, frame, wanted);
  if (whole === null) return null;
  try {
    const [sx, sy] = [whole.width / width, whole.height / height];
    const w = Math.max(1, Math.min(WIDTH, Math.round(box.width * sx)));
    const canvas = new OffscreenCanvas(w, Math.max(1, Math.round((w * box.height) / box.width)));
    canvas
      .getContext("2d")
      ?.drawImage(whole, box.x * sx, box.y * sy, box.width * sx, box.height * sy, 0, 0, canvas.width, canvas.height);
    const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: QUALITY });
    return { dataUrl: await asDataUrl(blob), frame, box };
  } finally {
    whole.close();
  }
}

const made = new Map<string, Promise<FindingPictures>>();
/** One after the other, so that frames are not decoded all at once. */
let queue: Promise<unknown> = Promise.resolve();
/** More pictures than a day has are let go, the oldest first. */
const MOST = 200;

/** The two pictures of a finding, made once; null for those whose frame nobody has. */
export function picturesOfFinding(shot: string, report: Report, flag: Flag): Promise<FindingPictures> {
  const hasFrames = session.get().id === shot && session.get().files !== null;
  const key = `${shot} ${flag.id} ${flag.from} ${flag.to} ${hasFrames}`;
  const there = made.get(key);
  if (there) return there;
  const box = boxOf(report, flag);
  const answer = queue.then(async (): Promise<FindingPictures> => {
    const anchor = await cut(report, shot, anchorFrame(report, flag), box).catch(() => null);
    const last = await cut(report, shot, flag.to, box).catch(() => null);
    return { anchor, last };
  });
  queue = answer;
  made.set(key, answer);
  if (made.size > MOST) made.delete(made.keys().next().value ?? "");
  return answer;
}
