import { centroidOf } from "./geometry.ts";
import type { Report } from "./report.ts";
import type { Sheet } from "./sheet.ts";

type Point = readonly [number, number];

/** Where one part's outline lies in every frame: a drawn outline, turned about its middle and put where the middle went. */
interface Path {
  readonly keys: readonly {
    readonly points: readonly Point[];
    readonly holes: readonly (readonly Point[])[];
    readonly middle: Point;
  }[];
  readonly key: Int32Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly turn: Float64Array;
}

const made = new WeakMap<Report, { readonly sheet: Sheet | null; readonly paths: ReadonlyMap<string, Path> }>();

/**
 * Follows every outline by what was measured: from a drawn one on, frame after frame. For the eye alone; the checking
 * has its own way of carrying outlines, and where nothing was measured the outline waits.
 */
function follow(report: Report, sheet: Sheet | null): ReadonlyMap<string, Path> {
  const frames: readonly number[] = report.shot.frames;
  const indexOf = new Map(frames.map((frame, index) => [frame, index]));
  const paths = new Map<string, Path>();
  for (const part of report.parts) {
    const drawn = sheet?.parts.find((each) => each.id === part.id)?.outlines ?? [];
    const outlines = drawn.length > 0 ? drawn : [{ frame: frames[0] ?? 0, points: part.outline, holes: [] }];
    const keys = outlines.map(({ points, holes }) => ({
      points,
      holes,
      middle: centroidOf({ points, holes: [] }),
    }));
    const rows = new Map(
      report.tracks.filter((row) => row.part === part.id).map((row) => [indexOf.get(row.frame) ?? -1, row]),
    );
    const path = {
      keys,
      key: new Int32Array(frames.length),
      x: new Float64Array(frames.length),
      y: new Float64Array(frames.length),
      turn: new Float64Array(frames.length),
    };
    const put = (index: number, key: number, x: number, y: number, turn: number) => {
      path.key[index] = key;
      path.x[index] = x;
      path.y[index] = y;
      path.turn[index] = turn;
    };
    for (let index = 0; index < frames.length; index++) {
      const key = outlines.findIndex((outline) => outline.frame === frames[index]);
      const row = rows.get(index);
      const from = row ? indexOf.get(row.anchor) : undefined;
      if (key >= 0) put(index, key, ...keys[key].middle, 0);
      else if (index === 0) put(0, 0, ...keys[0].middle, 0);
      else if (row && row.rawDx !== null && row.rawDy !== null && from !== undefined && from < index) {
        put(
          index,
          path.key[from],
          path.x[from] + row.rawDx,
          path.y[from] + row.rawDy,
          path.turn[from] + (row.turn ?? 0),
        );
      } else put(index, path.key[index - 1], path.x[index - 1], path.y[index - 1], path.turn[index - 1]);
    }
    paths.set(part.id, path);
  }
  return paths;
}

function pathOf(report: Report, sheet: Sheet | null, part: string): Path | undefined {
  let kept = made.get(report);
  if (!kept || kept.sheet !== sheet) {
    kept = { sheet, paths: follow(report, sheet) };
    made.set(report, kept);
  }
  return kept.paths.get(part);
}

const has = (path: Path | undefined, index: number): path is Path =>
  path !== undefined && index >= 0 && index < path.key.length;

/** Takes a place from where the part is drawn to where it is at a frame. */
const placed =
  (path: Path, index: number) =>
  ([px, py]: Point): Point => {
    const { middle } = path.keys[path.key[index]];
    const [cos, sin] = [Math.cos(path.turn[index]), Math.sin(path.turn[index])];
    const [x, y] = [px - middle[0], py - middle[1]];
    return [path.x[index] + cos * x - sin * y, path.y[index] + sin * x + cos * y];
  };

/** Outline of a part at a frame, px of the original frame; null for a part or a frame that the report hasn't got. */
export function outlineAt(report: Report, sheet: Sheet | null, part: string, index: number): readonly Point[] | null {
  const path = pathOf(report, sheet, part);
  return has(path, index) ? path.keys[path.key[index]].points.map(placed(path, index)) : null;
}

/** Outline and holes of a part at a frame, px; null for a part or a frame that the report hasn't got. */
export function shapeAt(
  report: Report,
  sheet: Sheet | null,
  part: string,
  index: number,
): { readonly points: readonly Point[]; readonly holes: readonly (readonly Point[])[] } | null {
  const path = pathOf(report, sheet, part);
  if (!has(path, index)) return null;
  const { points, holes } = path.keys[path.key[index]];
  const put = placed(path, index);
  return { points: points.map(put), holes: holes.map((hole) => hole.map(put)) };
}

/** Where a place on a part that lies at `at` in one frame is in another, px; where the report hasn't got them it stays. */
export function placeAt(report: Report, sheet: Sheet | null, part: string, at: Point, from: number, to: number): Point {
  const path = pathOf(report, sheet, part);
  if (!has(path, from) || !has(path, to)) return at;
  const turn = path.turn[to] - path.turn[from];
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const [x, y] = [at[0] - path.x[from], at[1] - path.y[from]];
  return [path.x[to] + cos * x - sin * y, path.y[to] + sin * x + cos * y];
}
