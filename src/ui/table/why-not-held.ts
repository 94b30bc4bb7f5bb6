import { type Flag, flagKindLabels } from "../../model/index.ts";
import type { Strips } from "../strips/strips.ts";
import { inSentence } from "../words/in-sentence.ts";

/** What is told by the surface and not by the part's own motion. */
const BY_SURFACE: ReadonlySet<string> = new Set(["crawl", "boil", "skin-shift"]);

/**
 * Why nothing of a finding is put back in a frame, in a sentence; null where there is nothing to say but that nothing
 * drifted.
 */
export function whyNotHeld(flag: Flag, strips: Strips, frame: number): string | null {
  const kind = flagKindLabels[flag.kind];
  if (flag.kind === "camera-shift") return `The camera went at frame ${flag.from}: this is how it stood before`;
  if (flag.part === null)
    return flag.kind === "set-shift"
      ? "What moved has no outline: draw one round it on the Parts screen, and it can be held still"
      : `Held still moves pieces of the picture back; ${kind} is none that moved`;
  const strip = strips.strips.find(({ id }) => id === flag.part);
  const index = strips.indexOf.get(frame) ?? -1;
  if (strip === undefined || index < 0) return null;
  const ground = strip.ground[index];
  if (ground === "moves") return `${strip.name} is animated here: where it should be nobody can tell`;
  if (ground === "hidden") return `${strip.name} is hidden here`;
  if (BY_SURFACE.has(flag.kind) && ground === "rides") {
    const carrier = strips.strips.find(({ id }) => id === strip.part?.carrier)?.name;
    return `${strip.name} rides on ${carrier === undefined ? "what moves" : `the ${inSentence(carrier)}, which moves`}: its ${kind} is told from frame to frame, and no frame shows where it should lie`;
  }
  if (frame < flag.from) return `It drifted from frame ${flag.from} on: before that there is nothing to put back`;
  return null;
}
