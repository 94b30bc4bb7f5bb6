import { degrees, grams, px } from "../units/index.ts";
import { builds, cameraIntentNames, everyPartKind, intentNames, markKinds, type PartKind } from "./kinds.ts";
import {
  coordinate,
  frame,
  frameRate,
  name,
  orNull,
  point,
  positive,
  ring,
  text,
  tilt,
  type Trusted,
  z,
} from "./schema.ts";

// The sheet file: who does what when, part by part. One schema gives the types and the first half of the
// checks; what one value can't tell of another (overlaps, loops, references) is checked in parseSheet.ts.

export const SHEET_FORMAT = "holdfast-sheet";
/** The latest version of the format that is read; it is the one that is written. */
export const SHEET_VERSION = 1;

export const DEFAULT_FPS = 24;
export const DEFAULT_DOWN = [px(0), px(1)] as const;

export const outlineSchema = z.looseObject({ frame, points: ring, holes: z.array(ring).default([]) });

export const jointSchema = z.looseObject({ id: name, name, frame, at: point });

export const intentSchema = z.looseObject({ from: frame, to: frame, intent: z.enum(intentNames), wears: orNull(name) });

export const cameraIntentSchema = z.looseObject({ from: frame, to: frame, intent: z.enum(cameraIntentNames) });

export const markSchema = z.looseObject({
  frame,
  kind: z.enum(markKinds),
  part: orNull(name),
  note: text.default(""),
});

export const partSchema = z.looseObject({
  id: name,
  name,
  kind: z.enum(everyPartKind),
  puppet: orNull(name),
  copy: orNull(name),
  carrier: orNull(name),
  outlines: z.array(outlineSchema).min(1),
  joints: z.array(jointSchema).default([]),
  build: orNull(z.enum(builds)),
  massGrams: orNull(positive.transform(grams)),
  pxPerMm: orNull(positive),
  intoPictureDegrees: tilt.default(degrees(0)),
  bandPx: orNull(positive.transform(px)),
  intents: z.array(intentSchema).default([]),
});

export const sheetShotSchema = z.looseObject({
  name,
  fps: frameRate.default(DEFAULT_FPS),
  cut: orNull(z.tuple([frame, frame])),
  timecodeStart: orNull(text),
  pass: orNull(name),
});

export const sheetSchema = z.looseObject({
  format: z.literal(SHEET_FORMAT),
  version: z.literal(SHEET_VERSION),
  shot: sheetShotSchema,
  scale: orNull(z.looseObject({ pxPerMm: positive })),
  down: z.tuple([coordinate, coordinate]).default([...DEFAULT_DOWN]),
  downIntoPicture: tilt.default(degrees(0)),
  camera: z.array(cameraIntentSchema).default([]),
  marks: z.array(markSchema).default([]),
  parts: z.array(partSchema),
});

/** Corner of a polygon or place of a joint, x and y in px of the original frame. */
export type Point = Trusted<z.output<typeof point>>;
/** A closed polygon, the last point joined to the first. */
export type Polygon = Trusted<z.output<typeof ring>>;
/** The outline of a part, drawn at a frame. A pixel belongs to it when its centre is inside, even-odd, holes cut out. */
export type Outline = Trusted<z.output<typeof outlineSchema>>;
/** Where two parts of an armature meet; `at` is its place in the picture at `frame`, px. */
export type Joint = Trusted<z.output<typeof jointSchema>>;
/** What a part is meant to do from one frame to another, both included. `wears` is null but for `swapped`. */
export type Intent = Trusted<z.output<typeof intentSchema>>;
export type CameraIntent = Trusted<z.output<typeof cameraIntentSchema>>;
/** Something that was done on set at a frame. `part` null: to everything. */
export type Mark = Trusted<z.output<typeof markSchema>>;
/** A watched piece of a puppet, prop or set. Outlines and intents are in the order of their frames. */
export type Part = Trusted<z.output<typeof partSchema>>;
/** The shot as its sheet describes it. `cut`: first and last frame that are used. */
export type SheetShot = Trusted<z.output<typeof sheetShotSchema>>;
/** A sheet that was accepted: every default filled in, `down` of length 1. */
export type Sheet = Trusted<z.output<typeof sheetSchema>>;

/** A sheet without parts, with every default: what a shot without a sheet file is checked by. */
export const createSheet = (shotName: string, parts: readonly Part[] = []): Sheet => ({
  format: SHEET_FORMAT,
  version: SHEET_VERSION,
  shot: { name: shotName, fps: DEFAULT_FPS, cut: null, timecodeStart: null, pass: null },
  scale: null,
  down: DEFAULT_DOWN,
  downIntoPicture: degrees(0),
  camera: [],
  marks: [],
  parts,
});

/** A part with every optional field at its default. */
export const createPart = (
  fields: { readonly id: string; readonly name: string; readonly kind: PartKind } & Partial<Part> &
    Pick<Part, "outlines">,
): Part => ({
  puppet: null,
  copy: null,
  carrier: null,
  joints: [],
  build: null,
  massGrams: null,
  pxPerMm: null,
  intoPictureDegrees: degrees(0),
  bandPx: null,
  intents: [],
  ...fields,
});
