import type { JudgeInput, LeftOverSeries } from "../../series.ts";
import type { Evidence } from "../kind.ts";
import { leftOverEvents } from "./left-over-events.ts";
import { jitterOf } from "./left-over-jitter.ts";

export type SurfaceEvidence = Pick<Evidence, "slips" | "jitters">;

/** What slipped over its carrier and what jitters on it: told against what is beside it, so that no camera is in it. */
export function surfaceEvidence(input: Pick<JudgeInput, "leftOvers">): SurfaceEvidence {
  const surfaces = surfacesOf(input);
  return {
    slips: surfaces.flatMap(leftOverEvents),
    jitters: surfaces.flatMap((series) => jitterOf(series[series.length - 1]) ?? []),
  };
}

/** The series of each surface, its carrier's own motion first where that is known. */
function surfacesOf({ leftOvers = [] }: Pick<JudgeInput, "leftOvers">): LeftOverSeries[][] {
  const surfaces = new Map<string, LeftOverSeries[]>();
  for (const series of leftOvers) {
    const key = `${series.part.id}@${series.anchor}`;
    surfaces.set(key, [...(surfaces.get(key) ?? []), series]);
  }
  return [...surfaces.values()];
}
