import type { Report } from "../../model/index.ts";
import { anchorFrame } from "../../reports/dailies/finding-frames.ts";
import { replace } from "./keeping.ts";
import { pictures } from "./pictures.ts";
import { session } from "./session.ts";
import { readKept } from "./storage.ts";

// Small pictures of the frames that tell most: the shot's first one, and the anchor and the last frame of each flag.

/** px; wide enough for a list of notes, about 25 kB each. */
const WIDTH = 480;
const TYPE = "image/jpeg";
const QUALITY = 0.8;
/** A shot of many flags keeps this many pictures. */
const MOST = 24;

const idOf = (shot: string, frame: number) => `${shot}:${frame}`;

/** The small picture of a frame; null where none was made. */
export async function thumbnailOf(shot: string, frame: number): Promise<Blob | null> {
  const kept = await readKept("thumbnail", idOf(shot, frame));
  return kept === null ? null : new Blob([kept.value.bytes], { type: kept.value.type });
}

function framesOf(report: Report): readonly number[] {
  const flagged = report.flags.flatMap((flag) => [flag.to, anchorFrame(report, flag)]);
  return [...new Set([report.shot.frames[0], ...flagged])].slice(0, MOST);
}

/** Makes the small pictures of a shot, one after the other; ends where another shot is opened. */
export async function makeThumbnails(shot: string, report: Report): Promise<void> {
  for (const frame of framesOf(report)) {
    const file = session.get().files?.get(frame);
    if (file === undefined || session.get().id !== shot) return;
    const answer = await pictures.frame(file, WIDTH);
    if (!answer.ok) continue;
    const { width, height } = answer.value;
    const canvas = new OffscreenCanvas(width, height);
    canvas.getContext("2d")?.drawImage(answer.value, 0, 0);
    const blob = await canvas.convertToBlob({ type: TYPE, quality: QUALITY });
    const bytes = new Uint8Array(await blob.arrayBuffer());
    const id = idOf(shot, frame);
    const changed = new Date().toISOString();
    replace("thumbnail", id, () => ({ id, shot, frame, width, height, type: blob.type, bytes, changed }));
  }
}
