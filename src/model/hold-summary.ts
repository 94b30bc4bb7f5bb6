import { courseSpeed } from "./course-speed.ts";
import { centroidOf } from "./geometry.ts";
import type { FlagKind, IntentName, PartKind, Build } from "./kinds.ts";
import type { Flag, Report, ReportPart, Track } from "./report.ts";
import { displacementOf, farthestOf, sigmaOf } from "./moved-point.ts";
import { outlineKeyFor, pxPerMmOf } from "./sheet-queries.ts";
import type { Part, Sheet } from "./sheet.ts";

// A report in short, hold by hold: what is asked of many shots at once. It is made of a report and its sheet alone, so
// it can be thrown away and made again.

/** Rises when the summary's own rules change: an older one is made again from its report. */
export const HOLDS_VERSION = 4;

/** A flag that lies in a hold. */
export interface HoldFlag {
  readonly id: string;
  readonly kind: FlagKind;
  /** As in the flag: px of the place that went farthest, 1 sigma, mm; null where the flag has none. */
  readonly px: number | null;
  readonly sigma: number | null;
  readonly mm: number | null;
  readonly joint: string | null;
  readonly from: number;
  readonly to: number;
  /** How fast it went, px a minute, and 1 sigma; null where neither the flag nor its course tells. */
  readonly perMinutePx: number | null;
  readonly perMinuteSigma: number | null;
}

/**
 * One part over one hold, or one wearing of a swapped piece. Displacement is where the material went, current minus
 * anchor, the camera taken out, for the corner of the part's own outline that went farthest by the last measured frame.
 */
export interface HoldSummary {
  /** Id of the part in its sheet, and its name. */
  readonly part: string;
  readonly name: string;
  readonly kind: PartKind;
  readonly puppet: string | null;
  readonly copy: string | null;
  readonly build: Build | null;
  /** The joint that the hold's flag names; null where there is none. */
  readonly joint: string | null;
  /** What the sheet says; null where it says nothing and the hold was found by its anchor. */
  readonly intent: IntentName | null;
  /** The piece that is worn, for "swapped": px is then how far off it sits from the last time it was worn. */
  readonly wears: string | null;
  /** Anchor frame, last measured frame, and how many frames were measured between them, the anchor left out. */
  readonly from: number;
  readonly to: number;
  readonly frames: number;
  /** Capture time of the anchor as the camera wrote it, and minutes from there to the last measured frame; null where not known. */
  readonly time: string | null;
  readonly minutes: number | null;
  /** Displacement and 1 sigma along its own direction. */
  readonly px: number;
  readonly sigma: number;
  /** Null without a scale. */
  readonly mm: number | null;
  readonly sigmaMm: number | null;
  /** Turn in the picture, positive from x towards y; null where it could not be told. */
  readonly degrees: number | null;
  readonly sigmaDegrees: number | null;
  /** Unit vector of the displacement. */
  readonly direction: readonly [number, number];
  /** The smallest drift that could have been seen, px; null where not known. */
  readonly floorPx: number | null;
  /**
   * Pose at the anchor: how far the part stands out from hanging straight down from its joint, degrees in the picture, 0
   * hanging, 90 level, 180 up, whichever side. Null without a sheet, or for a part without a joint.
   */
  readonly poseDegrees: number | null;
  /** px along `direction`, by the shot's frames from the anchor on; NaN where not measured. */
  readonly trace: Float32Array;
  readonly flags: readonly HoldFlag[];
  /** Id of the part whose flag carried this one along: its drift is that one's. Null where none did. */
  readonly carriedBy: string | null;
}

type Point = readonly [number, number];

const DEGREES = 180 / Math.PI;

/** A row that has numbers. */
type Told = Track & { readonly dx: NonNullable<Track["dx"]>; readonly dy: NonNullable<Track["dy"]> };
const isTold = (row: Track): row is Told => row.dx !== null && row.dy !== null;

/** The same digits as if they were UTC: only differences count. */
const millisecondsOf = (time: string | null | undefined): number =>
  time == null ? Number.NaN : Date.parse(`${time}Z`);

/**
 * What rides on a moving carrier is told from frame to frame: its rows one after the other are one stretch, in which each
 * row becomes the sum of those before it, against the stretch's first anchor; sigmas add as those of independent steps.
 */
function summed(rows: readonly Track[]): readonly Track[] {
  if (rows.every(({ anchor }) => anchor === rows[0].anchor)) return rows;
  const { anchor } = rows[0];
  let sum: Told | null = null;
  return rows.map((row): Track => {
    if (!isTold(row)) return { ...row, anchor };
    const before: Told | null = sum;
    const add = <T extends number>(a: T | null | undefined, b: T | null): T | null =>
      b === null || a === null ? null : (((a ?? 0) + b) as T);
    const both = <T extends number>(a: T | null | undefined, b: T | null): T | null =>
      b === null || a === null ? null : (Math.hypot(a ?? 0, b) as T);
    sum = {
      ...row,
      anchor,
      dx: add(before?.dx, row.dx) ?? row.dx,
      dy: add(before?.dy, row.dy) ?? row.dy,
      turn: add(before?.turn, row.turn),
      sigmaDx: both(before?.sigmaDx, row.sigmaDx),
      sigmaDy: both(before?.sigmaDy, row.sigmaDy),
      sigmaTurn: both(before?.sigmaTurn, row.sigmaTurn),
    };
    return sum;
  });
}

/**
 * Rows that share an anchor, and rows of what rides that follow one another, in the order of frames; what moves and has
 * a new anchor each frame is left out.
 */
function holdsOf(part: ReportPart, rows: readonly Track[], frames: readonly number[]): readonly (readonly Track[])[] {
  const intentOf = (frame: number) =>
    part.intents?.find(({ from, to }) => from <= frame && frame <= to)?.intent ?? null;
  const holds: Track[][] = [];
  for (const row of rows) {
    if (intentOf(row.frame) === "moves") continue;
    const last = holds.at(-1);
    const before = last?.at(-1);
    const follows =
      before !== undefined &&
      before.frame === row.anchor &&
      isTold(before) &&
      intentOf(before.frame) === "rides" &&
      intentOf(row.frame) === "rides";
    if (last !== undefined && (last[0].anchor === row.anchor || follows)) last.push(row);
    else holds.push([row]);
  }
  // Without intents, one row told against the frame before it may as well be a move.
  return holds
    .filter(
      ([first, ...more]) =>
        more.length > 0 ||
        intentOf(first.frame) !== null ||
        frames.indexOf(first.frame) - frames.indexOf(first.anchor) !== 1,
    )
    .map(summed);
}

/** Turn of the part from one frame to another, by the rows in which it moved; radians. */
const turnedBetween = (part: ReportPart, rows: readonly Track[], from: number, to: number): number => {
  const moves = part.intents?.filter(({ intent }) => intent === "moves") ?? [];
  let turn = 0;
  for (const row of rows) {
    if (row.frame <= from || row.frame > to) continue;
    if (moves.some((move) => move.from <= row.frame && row.frame <= move.to)) turn += row.turn ?? 0;
  }
  return turn;
};

function poseOf(
  drawn: Part | undefined,
  down: Point,
  part: ReportPart,
  rows: readonly Track[],
  anchor: Track["anchor"],
): number | null {
  if (drawn === undefined || drawn.joints.length === 0) return null;
  const outline = outlineKeyFor(drawn, anchor);
  const centre = centroidOf(outline);
  // The joint that a part hangs by is drawn at its near end; a further one, if any, is where the next part hangs.
  const joint = drawn.joints[0];
  const turned = turnedBetween(part, rows, outline.frame, anchor);
  const [x, y] = [centre[0] - joint.at[0], centre[1] - joint.at[1]];
  const angle = Math.atan2(y, x) + turned - Math.atan2(down[1], down[0]);
  return Math.abs(Math.atan2(Math.sin(angle), Math.cos(angle))) * DEGREES;
}

/** A crawl's flag has no speed of its own; its course has one. */
const flagOut = (flag: Flag, minuteOf: (frame: number) => number): HoldFlag => {
  const { id, kind, px, sigma, mm, joint, from, to, course, perMinutePx, perMinuteSigma = null } = flag;
  const along = perMinutePx === null && kind === "crawl" && course !== undefined ? courseSpeed(course, minuteOf) : null;
  return {
    id,
    kind,
    px,
    sigma,
    mm,
    joint,
    from,
    to,
    perMinutePx: along?.perMinute ?? perMinutePx,
    perMinuteSigma: along?.sigma ?? perMinuteSigma,
  };
};

/** Every hold of every part of a report, in the order of parts and frames. Holds in which nothing was measured are left out. */
export function summariseHolds(report: Report, sheet: Sheet | null): readonly HoldSummary[] {
  const { frames } = report.shot;
  const indexOf = new Map<number, number>(frames.map((frame, index) => [frame, index]));
  const times = new Map<number, number>(report.frames.map(({ frame, time }) => [frame, millisecondsOf(time)]));
  const timeOf = new Map<number, string | null>(report.frames.map(({ frame, time }) => [frame, time]));
  const rowsOf = new Map<string, Track[]>();
  for (const row of report.tracks) {
    const list = rowsOf.get(row.part);
    if (list) list.push(row);
    else rowsOf.set(row.part, [row]);
  }
  const down: Point = sheet?.down ?? [0, 1];
  return report.parts.flatMap((part) => {
    const rows = (rowsOf.get(part.id) ?? []).toSorted((a, b) => a.frame - b.frame);
    const drawn = sheet?.parts.find((each) => each.id === part.id);
    const scale = (sheet && drawn ? pxPerMmOf(sheet, drawn) : null) ?? report.shot.pxPerMm ?? null;
    const flags = report.flags.filter((flag) => flag.part === part.id);
    const centre: Point = centroidOf({ points: part.outline, holes: [] });
    return holdsOf(part, rows, frames).flatMap((hold): HoldSummary[] => {
      const told = hold.filter(isTold);
      const last = told.at(-1);
      if (last === undefined) return [];
      const intent = part.intents?.find(({ from, to }) => from <= last.frame && last.frame <= to) ?? null;
      const swapped = intent?.intent === "swapped";
      // A piece sits where it was put: the first frame tells it, the rest only repeats it.
      const row = swapped ? told[0] : last;
      const { at, by } = farthestOf(row, part.outline, centre);
      const length = Math.hypot(...by);
      const direction: Point = length > 0 ? [by[0] / length, by[1] / length] : [0, 1];
      const sigma = sigmaOf(row, at, centre, direction);
      const anchor = row.anchor;
      const start = indexOf.get(swapped ? told[0].frame : anchor) ?? 0;
      const trace = new Float32Array((indexOf.get(last.frame) ?? start) - start + 1).fill(Number.NaN);
      if (!swapped) trace[0] = 0;
      for (const each of told) {
        const moved = displacementOf(each, at, centre);
        const index = (indexOf.get(each.frame) ?? -1) - start;
        if (index >= 0 && moved !== null) trace[index] = moved[0] * direction[0] + moved[1] * direction[1];
      }
      const carrier = report.flags.find(
        (flag) => flag.carries.includes(part.id) && flag.to > anchor && flag.from <= hold[hold.length - 1].frame,
      );
      const within = flags.filter((flag) => flag.to > anchor && flag.from <= hold[hold.length - 1].frame);
      const minutes = ((times.get(last.frame) ?? Number.NaN) - (times.get(anchor) ?? Number.NaN)) / 60_000;
      return [
        {
          part: part.id,
          name: part.name,
          kind: part.kind,
          puppet: part.puppet,
          copy: part.copy,
          build: part.build,
          joint: within.find(({ joint }) => joint !== null)?.joint ?? null,
          intent: intent?.intent ?? null,
          wears: intent?.wears ?? null,
          from: anchor,
          to: last.frame,
          frames: told.length,
          time: timeOf.get(anchor) ?? null,
          minutes: Number.isFinite(minutes) ? minutes : null,
          px: length,
          sigma,
          mm: scale === null ? null : length / scale,
          sigmaMm: scale === null ? null : sigma / scale,
          degrees: row.turn === null ? null : row.turn * DEGREES,
          sigmaDegrees: row.sigmaTurn === null ? null : row.sigmaTurn * DEGREES,
          direction,
          floorPx: row.floorPx,
          poseDegrees: poseOf(drawn, down, part, rows, anchor),
          trace,
          flags: within.map((flag) => flagOut(flag, (frame) => (times.get(frame) ?? Number.NaN) / 60_000)),
          carriedBy: carrier?.part ?? null,
        },
      ];
    });
  });
}
