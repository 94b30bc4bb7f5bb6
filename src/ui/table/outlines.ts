import { outlineContains } from "../../model/geometry.ts";
import { flagKindLabels, outlineAt, type Report, type Sheet } from "../../model/index.ts";
import { type Strips, stripOfFlag } from "../strips/strips.ts";

type Point = readonly [number, number];

export interface DrawnOutline {
  readonly id: string;
  readonly name: string;
  readonly points: readonly Point[];
  /** "drifts": flagged at this frame; "carried": taken along by what drifts; "still": neither. */
  readonly state: "drifts" | "carried" | "still";
}

/** Every part's outline at a frame, px of the original frame, the largest first so that small ones lie on top. */
export function outlinesAt(
  report: Report,
  sheet: Sheet | null,
  strips: Strips,
  frame: number,
  /** The frame whose picture is up, where that is another: outlines lie where the parts are in it. */
  pictured = frame,
): readonly DrawnOutline[] {
  const index = strips.indexOf.get(pictured) ?? -1;
  const drifting = strips.flags.filter((flag) => flag.from <= frame && frame <= flag.to);
  const flagged = new Set(drifting.map(stripOfFlag));
  const carried = new Set(drifting.flatMap((flag) => flag.carries));
  const hidden = new Set(strips.strips.filter((strip) => strip.ground[index] === "hidden").map((strip) => strip.id));
  return report.parts
    .filter((part) => !hidden.has(part.id))
    .map((part) => {
      const state = flagged.has(part.id) ? "drifts" : carried.has(part.id) ? "carried" : "still";
      return {
        id: part.id,
        name: part.name,
        points: outlineAt(report, sheet, part.id, index) ?? part.outline,
        state,
      } as const;
    })
    .toSorted((a, b) => size(b.points) - size(a.points));
}

const size = (points: readonly Point[]): number => {
  const xs = points.map((point) => point[0]);
  const ys = points.map((point) => point[1]);
  return (Math.max(...xs) - Math.min(...xs)) * (Math.max(...ys) - Math.min(...ys));
};

/** Places that flags tell of outside all outlines, or within one, px; at a frame at which they drift. */
export function regionsAt(strips: Strips, frame: number): readonly DrawnOutline[] {
  return strips.flags.flatMap((flag) =>
    flag.region !== null && flag.from <= frame && frame <= flag.to
      ? [
          {
            id: flag.part === null ? stripOfFlag(flag) : flag.id,
            name: flagKindLabels[flag.kind],
            points: flag.region,
            state: "drifts" as const,
          },
        ]
      : [],
  );
}

/** The smallest outline under a place, px of the original frame; null where there is none. */
export function outlineUnder(outlines: readonly DrawnOutline[], x: number, y: number): string | null {
  return outlines.findLast(({ points }) => outlineContains({ points, holes: [] }, x, y))?.id ?? null;
}
