import { createRedraws } from "../../client/redraws.ts";
import type { FrameFile } from "../../protocol/index.ts";
import type { RedrawChoice, RedrawShot } from "../../protocol/pictures.ts";
import { session } from "./session.ts";
import { view } from "./view.ts";

/** The page's one store of redrawn pictures, outside React. */
export const redraws = createRedraws();

let made: { readonly files: ReadonlyMap<number, FrameFile>; readonly shot: RedrawShot } | null = null;

/** The shot as the redrawing worker is told it, the same object as long as nothing of it changed; null without frames or report. */
export function redrawShot(): RedrawShot | null {
  const { report, sheet, files } = session.get();
  if (!report || !files) return null;
  if (made?.files !== files || made.shot.report !== report || made.shot.sheet !== sheet)
    made = { files, shot: { report, sheet, files: [...files.values()] } };
  return made.shot;
}

/** All that drifted, drawn larger; with the camera's strip chosen its motion too. */
export function exaggeratedChoice(): RedrawChoice {
  const { times, strip } = view.get();
  const first = session.get().report?.shot.frames[0] ?? null;
  return { times, parts: null, camera: strip === "camera" ? first : null };
}

/** What the chosen finding says drifted, held still; with none chosen all that is flagged. */
export function heldChoice(): RedrawChoice {
  const { flag: chosen } = view.get();
  const { strips, report } = session.get();
  const all = strips?.flags ?? [];
  const flag = all.find(({ id }) => id === chosen);
  const flags = flag ? [flag] : all;
  const shift = flags.find(({ kind }) => kind === "camera-shift");
  const frames: readonly number[] = report?.shot.frames ?? [];
  // The camera as it was before it went.
  const before = shift ? (frames.findLast((frame) => frame < shift.from) ?? frames[0] ?? null) : null;
  const parts = [...new Set(flags.flatMap(({ part, carries }) => (part === null ? [] : [part, ...carries])))];
  return { times: 0, parts, camera: before };
}

export const redrawChoice = (picture: "exaggerate" | "held"): RedrawChoice =>
  picture === "held" ? heldChoice() : exaggeratedChoice();
