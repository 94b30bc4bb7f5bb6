import type { Polygon } from "../measure/mask.ts";
import { createPart } from "../model/index.ts";
import { px } from "../units/index.ts";
import { polygonCentroid } from "../measure/mask.ts";
import { type FoundPiece, foundPieces, placeInWords } from "./found-parts.ts";
import { PartPath } from "./part-path.ts";
import { nearPolygon } from "./near-outline.ts";
import type { AnalysedPart, ShotTracker } from "./shot-tracker.ts";

// What lies outside all outlines and did not hold still: pieces of the set that nobody drew. They are measured like any
// held part, and judged as pieces of the set.

/** Half a subset and what a part's edge and its contact shadow reach, px of the analysed frame. */
const BESIDE = 24;

/** Pieces outside all outlines, in all the places that these had, that drifted. */
export function outsidePieces(tracker: ShotTracker, width: number, height: number): FoundPiece[] {
  const { cells } = tracker;
  const outlines = new Set<Polygon>(
    tracker.parts.flatMap(({ path }) => [...path.shapes.values()].map(({ outline }) => outline)),
  );
  const boxes = [...outlines].map((outline) => ({ outline, box: boxOf(outline) }));
  const isTaken = (cell: number): boolean => {
    const [x, y] = cells.centre(cell);
    return boxes.some(
      ({ outline, box: [x0, y0, x1, y1] }) =>
        x >= x0 - BESIDE &&
        x <= x1 + BESIDE &&
        y >= y0 - BESIDE &&
        y <= y1 + BESIDE &&
        nearPolygon(outline, x, y, BESIDE),
    );
  };
  return foundPieces(cells, tracker.history(), width, height, isTaken);
}

function boxOf(outline: Polygon): readonly [number, number, number, number] {
  const xs = outline.map(([x]) => x);
  const ys = outline.map(([, y]) => y);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

/** A piece as a part to measure and judge, named by its place. */
export function outsidePart(
  piece: FoundPiece,
  id: string,
  tracker: ShotTracker,
  size: { readonly width: number; readonly height: number; readonly scaleX: number; readonly scaleY: number },
): AnalysedPart {
  const { x, y } = polygonCentroid(piece.outline);
  const first = tracker.numbers[0];
  const points = piece.outline.map(([u, v]) => [px(u * size.scaleX), px(v * size.scaleY)] as const);
  const part = createPart({
    id,
    name: `something ${placeInWords(x, y, size.width, size.height)}`,
    kind: "set",
    outlines: [{ frame: first, points, holes: [] }],
  });
  const path = new PartPath([{ frame: first, outline: piece.outline, holes: [] }]);
  path.start(first);
  return { part, path, moves: tracker.numbers.map(() => false), joints: [] };
}
