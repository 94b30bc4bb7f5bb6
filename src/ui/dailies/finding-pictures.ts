import type { Flag, Report } from "../../model/index.ts";
import type { Box } from "../../reports/dailies/drift-drawing.ts";
import { anchorFrame, boxOf, FINDING_QUALITY, FINDING_WIDTH } from "../../reports/dailies/finding-frames.ts";
import type { FindingPictures, Picture } from "../../reports/dailies/html.ts";
import { pictures } from "../state/pictures.ts";
import { session } from "../state/session.ts";
import { thumbnailOf } from "../state/thumbnails.ts";

// Pictures of the anchor and of the last frame of a finding, cut to what it is about: from the frames where the shot is
// open and they are at hand, else from the small pictures that the store keeps.

/** Widest that a frame is asked for, px. */
const WIDEST = 1920;

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
  const wanted = Math.min(WIDEST, width, Math.ceil((FINDING_WIDTH * width) / box.width));
  const whole = await frameBitmap(shot, frame, wanted);
  if (whole === null) return null;
  try {
    const [sx, sy] = [whole.width / width, whole.height / height];
    const w = Math.max(1, Math.min(FINDING_WIDTH, Math.round(box.width * sx)));
    const canvas = new OffscreenCanvas(w, Math.max(1, Math.round((w * box.height) / box.width)));
    canvas
      .getContext("2d")
      ?.drawImage(whole, box.x * sx, box.y * sy, box.width * sx, box.height * sy, 0, 0, canvas.width, canvas.height);
    const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: FINDING_QUALITY });
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
