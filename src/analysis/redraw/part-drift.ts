import { type Affine, enlarged, IDENTITY, mapped, turnAbout } from "../../measure/affine.ts";
import { type CameraMotion, centroidOf, outlineAt, type Report, type Sheet, type Track } from "../../model/index.ts";

// How far each held part has gone since its anchor, as a map of the picture: what is drawn larger, or put back.

/** A drift of this many sigmas is hardly there and drawn not at all; of MORE it is drawn whole. Between, by its share. */
const LESS = 3;
const MORE = 6;
/** The same by size, px: what the phase of a pixel and a neighbour's shadow do to what stands still is no drift to look at. */
const SMALL = 0.03;
const LARGE = 0.06;
/** Flags whose drift is a rigid motion of a part. */
const TOLD_BY_SURFACE: ReadonlySet<string> = new Set(["crawl", "boil", "skin-shift"]);

type Point = readonly [number, number];

const indexed = new WeakMap<Report, ReadonlyMap<string, ReadonlyMap<number, Track>>>();

/** A part's rows by frame, in the order of frames. */
export function rowsOf(report: Report, part: string): ReadonlyMap<number, Track> {
  let parts = indexed.get(report);
  if (parts === undefined) {
    const made = new Map<string, Map<number, Track>>();
    for (const row of report.tracks.toSorted((a, b) => a.frame - b.frame)) {
      const rows = made.get(row.part) ?? new Map<number, Track>();
      rows.set(row.frame, row);
      made.set(row.part, rows);
    }
    parts = made;
    indexed.set(report, parts);
  }
  return parts.get(part) ?? new Map<number, Track>();
}

export interface PartDrift {
  readonly part: string;
  readonly anchor: number;
  /** From where the part was at its anchor to where it is, in the picture of the anchor's camera. */
  readonly motion: Affine;
}

/** True where a part is animated at a frame, as its sheet or its rows have it. */
export function isAnimated(report: Report, sheet: Sheet | null, part: string, frame: number): boolean {
  const intents =
    sheet?.parts.find(({ id }) => id === part)?.intents ?? report.parts.find(({ id }) => id === part)?.intents ?? [];
  const told = intents.find((intent) => intent.from <= frame && frame <= intent.to);
  if (told) return told.intent === "moves";
  const rows = [...rowsOf(report, part).values()];
  const at = rows.findIndex((row) => row.frame === frame);
  return at > 0 && rows[at].anchor === rows[at - 1].frame && rows[at - 1].anchor !== rows[at].anchor;
}

function ridesAt(report: Report, sheet: Sheet | null, part: string, frame: number): boolean {
  const intents =
    sheet?.parts.find(({ id }) => id === part)?.intents ?? report.parts.find(({ id }) => id === part)?.intents ?? [];
  return intents.some((told) => told.intent === "rides" && told.from <= frame && frame <= told.to);
}

export const carrierOf = (report: Report, sheet: Sheet | null, part: string): string | null =>
  report.parts.find(({ id }) => id === part)?.carrier ?? sheet?.parts.find(({ id }) => id === part)?.carrier ?? null;

/** How many carriers there are below a part. */
export function depthOf(report: Report, sheet: Sheet | null, part: string): number {
  let depth = 0;
  for (let id = carrierOf(report, sheet, part); id !== null && depth < 50; id = carrierOf(report, sheet, id))
    depth += 1;
  return depth;
}

const between = (value: number, low: number, high: number): number =>
  Math.min(1, Math.max(0, (value - low) / (high - low)));

/** How much of a drift that nothing has flagged is there to be drawn, 0 to 1: by the corner that went farthest. */
function shareOf(row: Track, outline: readonly Point[], centre: Point): number {
  let [far, sure] = [0, 0];
  for (const [x, y] of outline) {
    const [u, v] = [x - centre[0], y - centre[1]];
    const [dx, dy] = [(row.dx ?? 0) - (row.turn ?? 0) * v, (row.dy ?? 0) + (row.turn ?? 0) * u];
    const lever = Math.hypot(u, v) * (row.sigmaTurn ?? 0);
    const sigma = Math.hypot(row.sigmaDx ?? 0, row.sigmaDy ?? 0, lever) / Math.SQRT2;
    const size = Math.hypot(dx, dy);
    if (size > far) [far, sure] = [size, size / Math.max(1e-3, sigma)];
  }
  return between(sure, LESS, MORE) * between(far, SMALL, LARGE);
}

/**
 * What a part has done since its anchor, null where nothing is known of it or it is animated. What rides adds its own
 * way to its carrier's; what could not be measured goes where its carrier went. Drifts that are not sure are drawn by
 * their share, but what is flagged is drawn as it was measured.
 */
export function driftOfPart(report: Report, sheet: Sheet | null, part: string, frame: number): PartDrift | null {
  return drift(report, sheet, part, frame, 0);
}

function drift(report: Report, sheet: Sheet | null, part: string, frame: number, depth: number): PartDrift | null {
  if (depth > 50 || isAnimated(report, sheet, part, frame)) return null;
  const carrier = carrierOf(report, sheet, part);
  const below = carrier === null ? null : () => drift(report, sheet, carrier, frame, depth + 1);
  const rows = rowsOf(report, part);
  const row = rows.get(frame);
  const isZero = row === undefined && [...rows.values()].some(({ anchor }) => anchor === frame);
  if (row === undefined || row.dx === null || row.dy === null) {
    if (isZero) return { part, anchor: frame, motion: IDENTITY };
    const led = below?.() ?? null;
    return led === null ? null : { ...led, part };
  }
  const index = report.shot.frames.indexOf(row.anchor);
  const outline = outlineAt(report, sheet, part, index);
  if (outline === null) return null;
  const centre = centroidOf({ points: outline, holes: [] });
  const flagged = report.flags.some(
    (flag) =>
      (flag.part === part || flag.carries.includes(part)) &&
      !TOLD_BY_SURFACE.has(flag.kind) &&
      flag.to >= row.anchor &&
      flag.from <= lastOf(report, part, row.anchor),
  );
  const share = flagged ? 1 : shareOf(row, outline, centre);
  const own = enlarged(turnAbout(row.turn ?? 0, centre, row.dx, row.dy), share);
  if (!ridesAt(report, sheet, part, frame)) return { part, anchor: row.anchor, motion: own };
  const led = below?.() ?? null;
  if (led === null) return { part, anchor: row.anchor, motion: own };
  return { part, anchor: row.anchor, motion: summed(led.motion, own) };
}

/** The last frame that is told against an anchor. */
const lastOf = (report: Report, part: string, anchor: number): number =>
  [...rowsOf(report, part).values()].findLast((row) => row.anchor === anchor)?.frame ?? anchor;

/** Both displacements together. */
const summed = (one: Affine, other: Affine): Affine => [
  one[0] + other[0] - 1,
  one[1] + other[1],
  one[2] + other[2],
  one[3] + other[3],
  one[4] + other[4] - 1,
  one[5] + other[5],
];

/** The camera's motion of a frame against the shot's first one, as a map of the picture; null where it isn't known. */
export function cameraMap(report: Report, frame: number): Affine | null {
  const camera: CameraMotion | null = report.frames.find((each) => each.frame === frame)?.camera ?? null;
  if (camera === null) return null;
  const centre = [report.shot.width / 2, report.shot.height / 2] as const;
  return turnAbout(camera.turn, centre, camera.dx, camera.dy, camera.scale);
}

/** True where a map leaves every point of an outline within `px` of where it was. */
export const isStill = (motion: Affine, outline: readonly (readonly [number, number])[], px: number): boolean =>
  outline.every(([x, y]) => {
    const [mx, my] = mapped(motion, x, y);
    return Math.hypot(mx - x, my - y) < px;
  });
