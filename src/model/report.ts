import { px, radians, stops } from "../units/index.ts";
import { builds, everyPartKind, flagKinds, markKinds, trackStates } from "./kinds.ts";
import { count, finite, frame, frameRate, name, orNull, positive, ring, text, type Trusted, z } from "./schema.ts";
import { intentSchema } from "./sheet.ts";

// The report file: what was measured in a shot and what was flagged. Keys marked optional here are
// additions to the format's first version: readers must do without them, and a file may lack them.

export const REPORT_FORMAT = "holdfast-report";
/** The latest version of the format that is read; it is the one that is written. */
export const REPORT_VERSION = 1;

/** A camera doesn't come a thousand times nearer; a scale below this is a mistake. */
const SMALLEST_SCALE = 0.001;

const pixels = finite.transform(px);
const sigmaPx = z.number().nonnegative().transform(px);
const angle = finite.transform(radians);
const direction = z.tuple([finite, finite]);

export const warningSchema = z.looseObject({
  /** Short and stable, for programs: "frame-gap". */
  code: name,
  /** A sentence for people, naming what it is about. */
  detail: text,
  frame: frame.nullable().exactOptional(),
  part: name.nullable().exactOptional(),
});

export const reportShotSchema = z.looseObject({
  name,
  fps: frameRate,
  width: count,
  height: count,
  frames: z.array(frame),
  analysisWidth: count,
  folder: text,
  cut: z.tuple([frame, frame]).nullable().exactOptional(),
  timecodeStart: text.nullable().exactOptional(),
  pass: text.nullable().exactOptional(),
  pxPerMm: positive.nullable().exactOptional(),
});

const noiseSchema = z.looseObject({
  /** "srgb": the sRGB curve; "shot": a curve from the shot's own noise. */
  scale: z.enum(["srgb", "shot"]),
  /** Why that one. */
  reason: text,
  /** System gain K: variance in DN squared for each DN, linear light with white at 65535 DN. Null where it can't be told. */
  gain: orNull(z.number().nonnegative()),
  /** Standard deviation in the dark, DN. */
  dark: orNull(z.number().nonnegative()),
  /** Variance that is even in grey levels of the sRGB curve: 8-bit steps and what JPEG does; grey levels squared. */
  steps: orNull(z.number().nonnegative()),
});

export const madeSchema = z.looseObject({
  holdfast: text,
  /** Null where the shot was checked without a sheet. */
  sheetSha256: orNull(text),
  /** By flag kind: px, or a fraction for kinds that are told in percent. */
  bands: z.record(z.string(), finite),
  thresholds: z.record(z.string(), finite),
  /** What the frames were measured on: luma, or the colour channel that has the contrast. */
  channel: z.enum(["luma", "r", "g", "b"]).exactOptional(),
  /** The scale that the noise was evened on, and the noise of one analysed frame. */
  noise: noiseSchema.exactOptional(),
});

export const reportPartSchema = z.looseObject({
  id: name,
  name,
  kind: z.enum(everyPartKind),
  puppet: orNull(name),
  copy: orNull(name),
  build: orNull(z.enum(builds)),
  outline: ring,
  holes: z.array(ring).exactOptional(),
  carrier: name.nullable().exactOptional(),
  intents: z.array(intentSchema).exactOptional(),
});

const animatedSchema = z.looseObject({
  id: name,
  name,
  /** Around all of its places in the shot, px. */
  outline: ring,
  moves: z.array(z.looseObject({ from: frame, to: frame })),
});

export const cameraMotionSchema = z.looseObject({
  dx: pixels,
  dy: pixels,
  turn: angle,
  scale: z.number().min(SMALLEST_SCALE),
  sigma: sigmaPx,
  sigmaTurn: z.number().nonnegative().transform(radians).nullable().exactOptional(),
});

export const reportFrameSchema = z.looseObject({
  frame,
  file: text,
  time: orNull(text),
  lightStops: orNull(finite.transform(stops)),
  camera: orNull(cameraMotionSchema),
  /**
   * Share of the finest contrast (waves of 3 px, as analysed) that was lost against the middle of all frames, 1 sigma.
   * Two frames differ by the difference of theirs; the reference has none.
   */
  focus: z.looseObject({ loss: finite, sigma: z.number().nonnegative() }).exactOptional(),
});

export const trackSchema = z.looseObject({
  part: name,
  frame,
  anchor: frame,
  dx: orNull(pixels),
  dy: orNull(pixels),
  turn: orNull(angle),
  sigmaDx: orNull(sigmaPx),
  sigmaDy: orNull(sigmaPx),
  rho: orNull(z.number().min(-1).max(1)),
  sigmaTurn: orNull(z.number().nonnegative().transform(radians)),
  rawDx: orNull(pixels),
  rawDy: orNull(pixels),
  crawlPx: orNull(sigmaPx),
  state: z.enum(trackStates),
  reason: text.default(""),
  floorPx: orNull(sigmaPx),
});

export const coursePointSchema = z.looseObject({ frame, px: pixels, sigma: orNull(sigmaPx) });
/** When a limit is reached: by the likeliest law and, at 95 %, by all that can't be ruled out. Null: not within what can be told. */
const crossingSchema = z.looseObject({
  /** Size of the drift, px. */
  px: pixels,
  /** Frame number, with a fraction, at the shot's own pace. */
  frame: orNull(finite),
  frameFrom: orNull(finite),
  frameTo: orNull(finite),
  /** Minutes of shooting after the last frame; null without capture times. */
  minutes: orNull(finite),
  minutesFrom: orNull(finite),
  minutesTo: orNull(finite),
});

export const forecastSchema = z.looseObject({
  /** Law of creep that fits best; null where none can be told. */
  law: orNull(z.enum(["linear", "logarithmic", "exponential"])),
  /** What the drift goes by. */
  by: orNull(z.enum(["clock", "frames"])),
  crossings: z.array(crossingSchema),
  /** Where it comes to rest, px, with 1 sigma; null where the law doesn't say. */
  rest: orNull(z.looseObject({ px: pixels, sigma: sigmaPx })),
  /** Why there is no crossing to tell; empty where there is one. */
  reason: text,
  message: text,
});

export const easeBackSchema = z.looseObject({
  /** Frames over which the correction is spread, and the first of them. */
  frames: count,
  from: frame,
  /** Largest correction between two frames, and what the eye doesn't notice, px. */
  pxPerFrame: pixels,
  unnoticedPx: pixels,
  /** Unit vector of the correction. */
  direction: orNull(direction),
  /** px that are put back by the end of each frame. */
  steps: z.array(pixels),
  /** The next declared move of the part or of what carries it, in which the correction can be hidden. */
  move: orNull(z.looseObject({ part: name, from: frame, to: frame })),
  /** Where the part and what it carries were at the anchor, seen by the camera of frame `ghostFrame`. */
  ghost: z.array(z.looseObject({ part: name, outline: ring })),
  ghostFrame: frame,
  message: text,
});

export const breakSchema = z.looseObject({
  /** The last frame before and the first one after. */
  from: frame,
  to: frame,
  /** Between the two exposures; null where a person marked the break and the times aren't known. */
  minutes: orNull(finite),
  /** Each held part, and the camera (part null), beside its own trend; `real` where it is significant. */
  moved: z.array(
    z.looseObject({
      part: orNull(name),
      px: pixels,
      sigma: sigmaPx,
      mm: orNull(finite),
      direction: orNull(direction),
      real: z.boolean(),
    }),
  ),
  message: text,
});

/** A drift that is real and still within its band. */
export const watchedSchema = z.looseObject({
  part: name,
  from: frame,
  to: frame,
  px: pixels,
  sigma: sigmaPx,
  bandPx: pixels,
  forecast: forecastSchema,
});

export const flagSchema = z.looseObject({
  id: name,
  kind: z.enum(flagKinds),
  part: orNull(name),
  from: frame,
  to: frame,
  px: orNull(pixels),
  mm: orNull(finite),
  stops: orNull(finite.transform(stops)),
  carries: z.array(name).default([]),
  sigma: orNull(z.number().nonnegative()),
  score: finite,
  direction: orNull(direction),
  perMinutePx: orNull(pixels),
  joint: orNull(name),
  pivot: orNull(z.tuple([pixels, pixels])),
  region: orNull(ring),
  message: text,
  causes: z.array(name).default([]),
  fixes: z.array(name).default([]),
  /** Ids of further joints that explain the drift as well as `joint` does. */
  alsoJoints: z.array(name).exactOptional(),
  /** Id of the carrier that moved too: the flag is what it doesn't explain. */
  besideCarrier: name.exactOptional(),
  /** The drift alone, frame by frame: px along `direction` at the place that went farthest, all else taken out. */
  course: z.array(coursePointSchema).exactOptional(),
  /** 1 sigma of `perMinutePx`. */
  perMinuteSigma: sigmaPx.nullable().exactOptional(),
  /** What comes next, if nothing is done. */
  forecast: forecastSchema.exactOptional(),
  /** How the drift can be taken back without being seen. */
  easeBack: easeBackSchema.exactOptional(),
});

export const correctionSchema = z.looseObject({
  part: name,
  frame,
  kind: z.enum(markKinds),
  /** Last frame before, that it is told against; null where it is told from all frames before and after. */
  against: orNull(frame),
  dx: orNull(pixels),
  dy: orNull(pixels),
  turn: orNull(angle),
  sigmaDx: orNull(sigmaPx),
  sigmaDy: orNull(sigmaPx),
  /** Largest displacement over the part's surface, and its 1 sigma. */
  px: orNull(pixels),
  sigma: orNull(sigmaPx),
  mm: orNull(finite),
  message: text,
});

export const surfaceSchema = z.looseObject({
  part: name,
  anchor: frame,
  /** The last frame that was measured: where the nodes are told. */
  frame,
  /** What stands for its carrier: the carrier's own motion, or what most of the surface did. */
  carrierBy: z.enum(["carrier", "surface"]),
  /** x, y, dx, dy and sigma of each node: what it went over its carrier since the anchor, px. */
  nodes: z.array(z.tuple([pixels, pixels, pixels, pixels, sigmaPx])),
  /** Share of the surface that has texture enough to be measured. */
  measured: z.number().min(0).max(1),
  /** The smallest shift of a patch of 56 px, as analysed, that could have been seen; null where there is none. */
  floorPx: orNull(sigmaPx),
  /** Why something of it can't be measured, or empty. */
  reason: text.default(""),
});

export const reportSchema = z.looseObject({
  format: z.literal(REPORT_FORMAT),
  version: z.literal(REPORT_VERSION),
  shot: reportShotSchema,
  made: madeSchema,
  parts: z.array(reportPartSchema),
  /** Without a sheet: what was found to be animated, and is not judged. */
  animated: z.array(animatedSchema).exactOptional(),
  frames: z.array(reportFrameSchema),
  tracks: z.array(trackSchema),
  flags: z.array(flagSchema),
  warnings: z.array(warningSchema).default([]),
  /** What cloth and skin did over what they ride on. */
  surfaces: z.array(surfaceSchema).exactOptional(),
  /** What people did to parts on purpose, as they marked it, and by how much. */
  corrections: z.array(correctionSchema).exactOptional(),
  /** Meals and nights, and what moved over them. */
  breaks: z.array(breakSchema).exactOptional(),
  watched: z.array(watchedSchema).exactOptional(),
});

/** Something people should know that is no finding: a gap, a frame that could not be read. */
export type Warning = Trusted<z.output<typeof warningSchema>>;
/** The shot as it was checked: size of the oriented original frame in px, and the numbers of the frames that were read. */
export type ReportShot = Trusted<z.output<typeof reportShotSchema>>;
/** What the report was made with. */
export type Made = Trusted<z.output<typeof madeSchema>>;
/** A piece that was found to be animated, with the frames into which it moved. */
export type AnimatedReport = Trusted<z.output<typeof animatedSchema>>;
/** A part that was judged, its outline at its first anchor, px. */
export type ReportPart = Trusted<z.output<typeof reportPartSchema>>;
/** Motion of the picture of the still background against the shot's first frame, at the frame's centre; px and radians. */
export type CameraMotion = Trusted<z.output<typeof cameraMotionSchema>>;
/** One frame: its file, its capture time in local time, its light in stops against the first frame, its camera. */
export type ReportFrame = Trusted<z.output<typeof reportFrameSchema>>;
/** One part in one frame against its anchor; px and radians, 1 sigma. Null where there is no number, with the reason. */
export type Track = Trusted<z.output<typeof trackSchema>>;
/** One finding. `sigma` has the unit of what stands: px, or stops for light. */
export type Flag = Trusted<z.output<typeof flagSchema>>;
/** A part that was put somewhere on purpose: by how much it moved, px of its centroid and radians, 1 sigma. */
export type Correction = Trusted<z.output<typeof correctionSchema>>;
/** What comes next of a drift. */
export type Forecast = Trusted<z.output<typeof forecastSchema>>;
/** A correction that nobody sees. */
export type EaseBack = Trusted<z.output<typeof easeBackSchema>>;
/** A stop in shooting, and what moved over it. */
export type Break = Trusted<z.output<typeof breakSchema>>;
export type Watched = Trusted<z.output<typeof watchedSchema>>;
/** One surface over one stretch of frames, node by node, as it was at the end. */
export type ReportSurface = Trusted<z.output<typeof surfaceSchema>>;
export type Report = Trusted<z.output<typeof reportSchema>>;
