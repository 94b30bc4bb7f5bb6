import type { Flag, FlagKind, IntentName, Report, ReportPart, Sheet, Track } from "../../model/index.ts";
import { inBodyOrder } from "./body-order.ts";
import { type Drift, driftOf, type FarDrift, farDriftOf, type Point } from "./drift.ts";

/**
 * What a strip's ground shows at a frame: the intent; "none" where nothing was measured and nothing is known;
 * "stopped" where a check that was cancelled did not get to.
 */
export type Ground = IntentName | "none" | "stopped";

/** One strip of the timeline: what was measured, frame by frame, in px or in stops. NaN where there is no number. */
export interface Strip {
  readonly id: string;
  readonly kind: "part" | "camera" | "light" | "picture";
  readonly name: string;
  readonly part: ReportPart | null;
  readonly unit: "px" | "stops";
  /** px of the frame to a mm on the part; null where no scale is known. */
  readonly pxPerMm: number | null;
  /** What the numbers tell: where the part went, or what its surface did over the part. */
  readonly told: "drift" | "left-over";
  readonly value: Float64Array;
  readonly sigma: Float64Array;
  /** The smallest that could have been seen, in the strip's unit; NaN where not known. */
  readonly floor: Float64Array;
  readonly ground: readonly Ground[];
  /** Why there is no number, by frame; empty where there is one. */
  readonly why: readonly string[];
  /** Anchor frame of each frame; -1 where there is none. */
  readonly anchor: Int32Array;
  /** True for the frames that others are measured against: zero by definition. */
  readonly reference: readonly boolean[];
  readonly band: number;
  readonly direction: Point;
  /** The point that the numbers tell of, px of the frame; null for camera and light. */
  readonly at: Point | null;
  /** What the px of each of the flags is told of: the farthest point of the part and all it carries. */
  readonly far: readonly FarDrift[];
  readonly flags: readonly Flag[];
  /** True while the check runs: a frame without a number may still get one. */
  readonly pending: boolean;
  /** True where the numbers are of an earlier sheet: the part was changed since. */
  readonly old: boolean;
  /** Lowest and highest value that the strip has room for, in its unit: the band and the trace, with a little air. */
  readonly low: number;
  readonly high: number;
  /** The same without the air, both as sizes. */
  readonly reach: { readonly low: number; readonly high: number };
  readonly frames: readonly number[];
}

/** A strip but for what is the same for all of them. */
type Unfinished = Omit<Strip, "pending" | "old" | "frames">;

export interface Strips {
  readonly frames: readonly number[];
  readonly indexOf: ReadonlyMap<number, number>;
  readonly strips: readonly Strip[];
  /** Flags in the order of their first frame. */
  readonly flags: readonly Flag[];
}

/** Which strip a flag's mark stands on: what is no part, no camera and no lamp has a strip of its own, the picture's. */
export const stripOfFlag = (flag: Flag): string =>
  flag.part ?? (flag.kind === "light" ? "light" : flag.kind === "camera-shift" ? "camera" : "picture");

/** Kinds that are told of what a surface did over the part it lies on, not of where the part went. */
const overTheCarrier: ReadonlySet<FlagKind> = new Set(["crawl", "boil", "skin-shift"]);

/** Even light flickers by a good part of its band: its strip has room for more, or it would look like a drift. */
const LIGHT_ROOM = 2;

const stopsOfShare = (share: number) => Math.log2(1 + share);

function rangeOf(value: Float64Array, least: number): Pick<Strip, "low" | "high" | "reach"> {
  let [low, high] = [-least, least];
  for (const each of value) {
    if (each < low) low = each;
    if (each > high) high = each;
  }
  const air = (high - low) * 0.12;
  return { low: low - air, high: high + air, reach: { low: -low, high } };
}

function groundsOf(
  part: ReportPart,
  sheet: Sheet | null,
  rows: ReadonlyMap<number, Track>,
  frames: readonly number[],
): Ground[] {
  const intents = sheet?.parts.find((each) => each.id === part.id)?.intents ?? part.intents ?? [];
  return frames.map((frame, index) => {
    const told = intents.find((intent) => intent.from <= frame && frame <= intent.to);
    if (told) return told.intent;
    const row = rows.get(frame);
    if (row?.state === "hidden") return "hidden";
    if (row) {
      // A file without intents: an anchor that is always the frame before belongs to a part that moves.
      const before = index > 0 ? rows.get(frames[index - 1]!) : undefined;
      return before && row.anchor === before.frame && before.anchor !== row.anchor ? "moves" : "holds";
    }
    const next = index + 1 < frames.length ? rows.get(frames[index + 1]!) : undefined;
    return next?.anchor === frame ? "holds" : "none";
  });
}

const tracksOf = (report: Report, part: string): readonly Track[] =>
  report.tracks.filter((row) => row.part === part).toSorted((a, b) => a.frame - b.frame);

/** True where a part's own track is told against its carrier. */
function rides(part: ReportPart, sheet: Sheet | null, frame: number): boolean {
  const intents = sheet?.parts.find((each) => each.id === part.id)?.intents ?? part.intents ?? [];
  return intents.some((told) => told.intent === "rides" && told.from <= frame && frame <= told.to);
}

function partStrip(
  report: Report,
  sheet: Sheet | null,
  part: ReportPart,
  indexOf: ReadonlyMap<number, number>,
): Unfinished {
  const frames = report.shot.frames;
  const rows = tracksOf(report, part.id);
  const byFrame = new Map(rows.map((row) => [row.frame as number, row]));
  const flags = report.flags.filter((flag) => flag.part === part.id);
  const carriedIn = report.flags.filter((flag) => flag.carries.includes(part.id));
  const main = (flags.length > 0 ? flags : carriedIn).toSorted((a, b) => (b.px ?? 0) - (a.px ?? 0))[0] ?? null;
  const ground = groundsOf(part, sheet, byFrame, frames);
  const judged = rows.filter((row) => ground[indexOf.get(row.frame) ?? -1] !== "moves");
  const leftOver = main !== null && main.part === part.id && overTheCarrier.has(main.kind);
  const drift = leftOver ? leftOverOf(rows, indexOf) : driftOf(part, judged, main, indexOf);
  const far = flags.flatMap((flag) => {
    const carried = report.parts
      .filter((each) => flag.carries.includes(each.id))
      .map((each) => ({ part: each, rows: rides(each, sheet, flag.to) ? [] : tracksOf(report, each.id) }));
    return farDriftOf(flag, { part, rows: judged }, carried, indexOf) ?? [];
  });
  const reference = frames.map(() => false);
  const anchor = new Int32Array(frames.length).fill(-1);
  const floor = new Float64Array(frames.length).fill(Number.NaN);
  for (const row of rows) {
    const index = indexOf.get(row.frame);
    if (index === undefined) continue;
    anchor[index] = row.anchor;
    floor[index] = row.floorPx ?? Number.NaN;
    // The anchor frame is the zero of its hold and has no row of its own.
    const zero = indexOf.get(row.anchor);
    if (zero !== undefined && ground[zero] !== "moves" && ground[zero] !== "hidden" && !byFrame.has(row.anchor)) {
      drift.value[zero] = 0;
      drift.sigma[zero] = 0;
      anchor[zero] = row.anchor;
      reference[zero] = true;
      for (const one of far) [one.value[zero], one.sigma[zero]] = [0, 0];
    }
  }
  const bandKind: FlagKind = flags[0]?.kind ?? (place.has(part.kind) ? "set-shift" : "sag");
  const band =
    sheet?.parts.find((each) => each.id === part.id)?.bandPx ??
    report.made.bands[bandKind] ??
    report.made.bands.sag ??
    0.3;
  const why = frames.map((frame, index) => {
    if (!Number.isNaN(drift.value[index]!)) return "";
    if (ground[index] === "moves") return "it is meant to move here (hatched), so it has no drift";
    const row = byFrame.get(frame);
    return row?.reason || (ground[index] === "hidden" ? "it is hidden here" : "it was not measured here");
  });
  return {
    id: part.id,
    kind: "part",
    name: part.name,
    part,
    unit: "px",
    pxPerMm: scaleOf(report, sheet, part, [...flags, ...carriedIn]),
    told: leftOver ? "left-over" : "drift",
    ...drift,
    far,
    reference,
    floor,
    ground,
    why,
    anchor,
    band,
    flags,
    ...rangeOf(drift.value, band),
  };
}

const place = new Set(["prop", "set", "support"]);

/** The part's own scale, the sheet's, the report's, or what a flag of it was converted by. */
function scaleOf(report: Report, sheet: Sheet | null, part: ReportPart, flags: readonly Flag[]): number | null {
  const told = sheet?.parts.find((each) => each.id === part.id)?.pxPerMm ?? sheet?.scale?.pxPerMm;
  const flag = flags.find(({ px, mm }) => px !== null && mm !== null && px !== 0 && mm !== 0);
  const byFlag = flag?.px != null && flag.mm !== null ? Math.abs(flag.px / flag.mm) : null;
  return told ?? byFlag ?? report.shot.pxPerMm ?? null;
}

/** What is left over on a part's surface, frame by frame, px: a size, so it has no side. */
function leftOverOf(
  rows: readonly Track[],
  indexOf: ReadonlyMap<number, number>,
): Omit<Drift, "at"> & { readonly at: null } {
  const value = new Float64Array(indexOf.size).fill(Number.NaN);
  for (const { frame, crawlPx } of rows) {
    const index = indexOf.get(frame);
    if (index !== undefined && crawlPx !== null) value[index] = crawlPx;
  }
  return { value, sigma: new Float64Array(indexOf.size).fill(Number.NaN), direction: [0, -1], at: null };
}

function cameraStrip(report: Report, sheet: Sheet | null, indexOf: ReadonlyMap<number, number>): Unfinished {
  const frames = report.shot.frames;
  const flags = report.flags.filter((flag) => stripOfFlag(flag) === "camera");
  const told = flags[0]?.direction ?? null;
  const most = report.frames.reduce<readonly [number, number]>(
    (far, { camera }) => {
      return camera && Math.hypot(camera.dx, camera.dy) > Math.hypot(...far) ? [camera.dx, camera.dy] : far;
    },
    [0, 0],
  );
  const along = told ?? most;
  const length = Math.hypot(along[0], along[1]);
  const direction: readonly [number, number] = length > 0 ? [along[0] / length, along[1] / length] : [0, 1];
  const value = new Float64Array(frames.length).fill(Number.NaN);
  const sigma = new Float64Array(frames.length).fill(Number.NaN);
  for (const { frame, camera } of report.frames) {
    const index = indexOf.get(frame);
    if (index === undefined || camera === null) continue;
    value[index] = camera.dx * direction[0] + camera.dy * direction[1];
    sigma[index] = camera.sigma;
  }
  const band = report.made.bands["camera-shift"] ?? 0.1;
  return {
    id: "camera",
    kind: "camera",
    name: "Camera",
    part: null,
    unit: "px",
    pxPerMm: null,
    told: "drift",
    value,
    sigma,
    floor: new Float64Array(frames.length).fill(Number.NaN),
    ground: frames.map(
      (frame) => sheet?.camera.find((each) => each.from <= frame && frame <= each.to)?.intent ?? "holds",
    ),
    why: frames.map((_, index) => (Number.isNaN(value[index]!) ? "the camera can't be told from the set here" : "")),
    anchor: new Int32Array(frames.length).fill(frames[0] ?? -1),
    reference: frames.map((_, index) => index === 0 && !Number.isNaN(value[0]!)),
    band,
    direction,
    at: null,
    far: [],
    flags,
    ...rangeOf(value, band),
  };
}

function lightStrip(report: Report, indexOf: ReadonlyMap<number, number>): Unfinished {
  const frames = report.shot.frames;
  const value = new Float64Array(frames.length).fill(Number.NaN);
  for (const { frame, lightStops } of report.frames) {
    const index = indexOf.get(frame);
    if (index !== undefined && lightStops !== null) value[index] = lightStops;
  }
  const band = stopsOfShare(report.made.bands.light ?? 0.02);
  return {
    id: "light",
    kind: "light",
    name: "Light",
    part: null,
    unit: "stops",
    pxPerMm: null,
    told: "drift",
    value,
    sigma: new Float64Array(frames.length).fill(Number.NaN),
    floor: new Float64Array(frames.length).fill(Number.NaN),
    ground: frames.map(() => "holds"),
    why: frames.map((_, index) => (Number.isNaN(value[index]!) ? "the light could not be told here" : "")),
    anchor: new Int32Array(frames.length).fill(frames[0] ?? -1),
    reference: frames.map((_, index) => index === 0 && !Number.isNaN(value[0]!)),
    band,
    direction: [0, -1],
    at: null,
    far: [],
    flags: report.flags.filter((flag) => stripOfFlag(flag) === "light"),
    ...rangeOf(value, LIGHT_ROOM * band),
  };
}

/** What concerns the picture itself: something strayed in, went soft, was exposed twice, or moved outside all outlines. */
function pictureStrip(report: Report): Unfinished[] {
  const frames = report.shot.frames;
  const flags = report.flags.filter((flag) => stripOfFlag(flag) === "picture");
  if (flags.length === 0) return [];
  const none = () => new Float64Array(frames.length).fill(Number.NaN);
  return [
    {
      id: "picture",
      kind: "picture",
      name: "Picture",
      part: null,
      unit: "px",
      pxPerMm: null,
      told: "drift",
      value: none(),
      sigma: none(),
      floor: none(),
      ground: frames.map(() => "holds"),
      why: frames.map(() => "nothing stands out in it here"),
      anchor: new Int32Array(frames.length).fill(frames[0] ?? -1),
      reference: frames.map(() => false),
      band: 1,
      direction: [0, -1],
      at: null,
      far: [],
      flags,
      ...rangeOf(none(), 1),
    },
  ];
}

/** What a cancelled check did not get to: said on every strip, and shaded. */
const cutAfter = (strip: Unfinished, frames: readonly number[], stopped: number) => ({
  ...strip,
  ground: strip.ground.map((ground, index): Ground => (frames[index]! > stopped ? "stopped" : ground)),
  why: strip.why.map((why, index) => (frames[index]! > stopped ? "the check was stopped before this frame" : why)),
});

/**
 * @param pending true while the check that makes the report still runs
 * @param stopped the last frame that a cancelled check got to; null where it was not cancelled
 * @param old strips whose numbers are of an earlier sheet
 */
export function stripsOf(
  report: Report,
  sheet: Sheet | null,
  pending = false,
  stopped: number | null = null,
  old: ReadonlySet<string> | null = null,
): Strips {
  const frames = report.shot.frames as readonly number[];
  const indexOf = new Map(frames.map((frame, index) => [frame, index]));
  const parts = report.parts.map((part) => ({
    ...part,
    carrier: part.carrier ?? sheet?.parts.find((each) => each.id === part.id)?.carrier ?? null,
  }));
  return {
    frames,
    indexOf,
    strips: [
      ...inBodyOrder(parts).map((part) => partStrip(report, sheet, part, indexOf)),
      ...pictureStrip(report),
      cameraStrip(report, sheet, indexOf),
      lightStrip(report, indexOf),
    ].map((strip) => ({
      frames,
      ...(stopped === null ? strip : cutAfter(strip, frames, stopped)),
      pending: pending || (old?.has(strip.id) ?? false),
      old: old?.has(strip.id) ?? false,
    })),
    flags: report.flags.toSorted((a, b) => a.from - b.from || a.id.localeCompare(b.id)),
  };
}
