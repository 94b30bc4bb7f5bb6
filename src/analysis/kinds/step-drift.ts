import type { JudgeInput } from "../series.ts";
import type { PartDrift } from "./evidence/part-drift.ts";

// What knock and set-shift share: a jump that stays.

/** Marks of a person who moved the part on purpose before a frame was taken. */
const onPurpose: ReadonlySet<string> = new Set(["correction", "reset", "anchor"]);

/** True where a person marked at this very frame that the part, or everything, was put somewhere. */
export const isMarked = ({ part, event }: PartDrift, { marks }: JudgeInput): boolean =>
  marks.some(
    (mark) => mark.frame === event.from && onPurpose.has(mark.kind) && (mark.part === null || mark.part === part.id),
  );

export const isStep = ({ event }: PartDrift): boolean => event.family === "step";

/** "at frame 13 and stayed there", and what is not known yet. */
export function stepWords({ event }: PartDrift, { live = false }: JudgeInput): string {
  if (event.unsettled) {
    return live
      ? `at frame ${event.from}, the newest: the next frame will tell whether it was knocked and stays or was out for this frame alone`
      : `at frame ${event.from}, the last one; if the next is back it is a pop`;
  }
  if (event.putRight) return `at frame ${event.from} and was back after frame ${event.to}`;
  return `at frame ${event.from} and stayed there`;
}

export const STEP_STATISTIC =
  "two-sample likelihood-ratio test for a step at every frame, Hotelling's T over dx, dy and turn";
export const STEP_SOURCE = "Hawkins 1977, Hotelling 1931; thresholds by null simulation";
