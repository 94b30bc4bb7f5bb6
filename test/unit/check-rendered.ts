import type { Plane } from "../../src/measure/plane.ts";
import type { Report, Track } from "../../src/model/index.ts";
import { checkShot, type MemoryOptions } from "../support/check-shot.ts";
import { renderShot } from "../support/render.ts";
import type { Shot } from "../support/shot.ts";
import { jpegShot } from "../support/write.ts";

// Whole checks of rendered shots, in memory.

/** The frames of a shot by their number, as its JPEG files hold them, or as rendered where it asks for none. */
export async function pictures(shot: Shot): Promise<Map<number, Plane>> {
  const rendered = renderShot(shot.scene, shot.frames);
  const { planes } = shot.scene.jpegQuality === null ? rendered : await jpegShot(rendered);
  return new Map(planes.map((plane, i) => [i + 1, plane]));
}

export const checked = async (shot: Shot, options?: MemoryOptions): Promise<Report> =>
  checkShot({ name: shot.scene.name, frames: await pictures(shot), sheet: shot.sheet }, options);

/** "kind part from-to" of every flag. */
export const inShort = (report: Report): string[] =>
  report.flags.map(({ kind, part, from, to }) => `${kind} ${part ?? "-"} ${from}-${to}`);

export const tracksOf = (report: Report, part: string): Track[] => report.tracks.filter((track) => track.part === part);
