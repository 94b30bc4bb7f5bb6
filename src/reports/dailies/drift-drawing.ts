import { boundsOf, centroidOf, type Flag, type Polygon, type Report } from "../../model/index.ts";

// A finding drawn: where the outlines were, where they went, exaggerated so that a pixel can be seen on paper. Only
// numbers here: page and saved files draw them in their own ways.

type Corner = readonly [number, number];
type Ring = readonly Corner[];

export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface DriftDrawing {
  /** What of the frame to show, px of the original frame. */
  readonly box: Box;
  /** Outlines as they were at the anchor, and where they went, drawn `times` larger than it was. */
  readonly before: readonly Ring[];
  readonly after: readonly Ring[];
  /** From where to where the arrow goes; null where there is no direction. */
  readonly arrow: readonly [Corner, Corner] | null;
  /** Exaggeration; 1 where it is drawn as large as it is. */
  readonly times: number;
  readonly pivot: Corner | null;
}

/** A drift is drawn this share of the box's shorter side, if that makes it larger. */
const SHOWN = 0.12;
const SMALLEST_BOX = 160;
const MARGIN = 0.35;
const MOST_TIMES = 100;

/** A box around what is concerned, 4 : 3, within the frame. */
const boxAround = (rings: readonly Ring[], width: number, height: number): Box => {
  if (rings.length === 0) return { x: 0, y: 0, width, height };
  const [left, top, right, bottom] = boundsOf(rings.flat());
  const [midX, midY] = [(left + right) / 2, (top + bottom) / 2];
  const long = Math.max(right - left, ((bottom - top) * 4) / 3) * (1 + 2 * MARGIN);
  const w = Math.min(Math.max(long, SMALLEST_BOX), width, (height * 4) / 3);
  const h = (w * 3) / 4;
  return {
    x: Math.min(Math.max(midX - w / 2, 0), width - w),
    y: Math.min(Math.max(midY - h / 2, 0), height - h),
    width: w,
    height: h,
  };
};

/** 1, 2, 5, 10, 20, 50: people multiply in their heads. */
const roundTimes = (times: number): number => {
  const steps = [1, 2, 5, 10, 20, 50, MOST_TIMES];
  return steps.findLast((step) => step <= times) ?? 1;
};

interface Motion {
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly about: Corner;
}

const moved = (ring: Ring, { dx, dy, turn, about }: Motion, times: number): Ring => {
  const [cos, sin] = [Math.cos(turn * times), Math.sin(turn * times)];
  return ring.map(([x, y]) => {
    const [u, v] = [x - about[0], y - about[1]];
    return [about[0] + cos * u - sin * v + dx * times, about[1] + sin * u + cos * v + dy * times];
  });
};

const largest = (ring: Ring, motion: Motion): number => {
  const there = moved(ring, motion, 1);
  return Math.max(...ring.map(([x, y], i) => Math.hypot(there[i][0] - x, there[i][1] - y)));
};

/** The drift of a part at the flag's last frame, or at the last one before it that was measured. */
const motionOf = (report: Report, flag: Flag, part: string, ring: Ring): Motion => {
  const about = centroidOf({ points: ring, holes: [] });
  const row = report.tracks.findLast(
    (track) => track.part === part && track.frame <= flag.to && track.frame >= flag.from && track.dx !== null,
  );
  if (row !== undefined && row.dx !== null && row.dy !== null && flag.kind !== "crawl" && flag.kind !== "skin-shift")
    return { dx: row.dx, dy: row.dy, turn: row.turn ?? 0, about };
  const [x, y] = flag.direction ?? [0, 0];
  return { dx: x * (flag.px ?? 0), dy: y * (flag.px ?? 0), turn: 0, about };
};

/** The drawing of a finding; null where there is no place to draw: light, focus and what is frame-wide. */
export const driftDrawing = (report: Report, flag: Flag): DriftDrawing | null => {
  const { width, height } = report.shot;
  const parts = [...(flag.part === null ? [] : [flag.part]), ...flag.carries].flatMap(
    (id) => report.parts.find((part) => part.id === id) ?? [],
  );
  const region: Polygon | null = flag.region;
  if (flag.kind === "camera-shift" && flag.direction !== null && flag.px !== null) {
    const edge: Ring = [
      [width * 0.06, height * 0.06],
      [width * 0.94, height * 0.06],
      [width * 0.94, height * 0.94],
      [width * 0.06, height * 0.94],
    ];
    return drawn({ x: 0, y: 0, width, height }, [edge], [alongOf(flag, edge)], flag, null);
  }
  const rings: readonly Ring[] =
    parts.length > 0 ? parts.map(({ outline }) => outline) : region === null ? [] : [region];
  if (rings.length === 0) return null;
  const motions =
    parts.length > 0
      ? parts.map(({ id, outline }) => motionOf(report, flag, id, outline))
      : rings.map((ring) => alongOf(flag, ring));
  return drawn(boxAround(rings, width, height), rings, motions, flag, flag.pivot);
};

const alongOf = (flag: Flag, ring: Ring): Motion => {
  const [x, y] = flag.direction ?? [0, 0];
  // A stray's size is how wide it is, not how far it went.
  const px = flag.kind === "stray" ? 0 : (flag.px ?? 0);
  return { dx: x * px, dy: y * px, turn: 0, about: centroidOf({ points: ring, holes: [] }) };
};

const drawn = (
  box: Box,
  before: readonly Ring[],
  motions: readonly Motion[],
  flag: Flag,
  pivot: Corner | null,
): DriftDrawing => {
  const far = Math.max(...before.map((ring, i) => largest(ring, motions[i])));
  const times = far > 0 ? roundTimes((SHOWN * Math.min(box.width, box.height)) / far) : 1;
  const after = before.map((ring, i) => moved(ring, motions[i], times));
  const from = motions[0].about;
  const there: Corner = [from[0] + motions[0].dx * times, from[1] + motions[0].dy * times];
  const isArrow = far > 0 && flag.direction !== null && Math.hypot(there[0] - from[0], there[1] - from[1]) > 0;
  return { box, before, after, arrow: isArrow ? [from, there] : null, times, pivot };
};
