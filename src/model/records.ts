import { builds, everyPartKind, flagKinds } from "./kinds.ts";
import { count, frame, frameRate, name, orNull, ring, text, type Trusted, z } from "./schema.ts";
import { px } from "../units/index.ts";

// What people enter beside sheets: productions, shots, puppets, verdicts, notes, repairs, shots to come.
// Every record has an id of its own that never changes, so that two stores can be merged record by record,
// and `changed`, so that the later one of two wins. Times of entries are UTC, ISO 8601; capture times are not.

const id = name;
const moment = z.iso.datetime();
const pixels = z.number().nonnegative().transform(px);

/** What people decide about a flag. The key is what files hold; the words may change. */
export const verdictChoices = [
  "meant",
  "put-right",
  "ease-back",
  "reshoot",
  "paint-out",
  "live-with-it",
  "to-the-bench",
] as const;
export type VerdictChoice = (typeof verdictChoices)[number];

export const verdictLabels: Readonly<Record<VerdictChoice, string>> = {
  meant: "meant",
  "put-right": "put right",
  "ease-back": "ease back",
  reshoot: "reshoot",
  "paint-out": "paint out",
  "live-with-it": "live with it",
  "to-the-bench": "to the bench",
};

export const productionSchema = z.looseObject({ id, name, made: moment, changed: moment });

export const shotRecordSchema = z.looseObject({
  id,
  production: id,
  name,
  /** 1 for the first take. */
  take: count.default(1),
  /** Name of the folder of its frames; the way to it is the browser's and stays out of exports. */
  folder: text,
  sequence: orNull(name),
  fps: frameRate,
  width: count,
  height: count,
  firstFrame: frame,
  lastFrame: frame,
  frameCount: count,
  /** Day of the first exposure in local time, "2026-03-02"; null where capture times aren't known. */
  shootingDay: orNull(z.iso.date()),
  /** SHA-256 of names, sizes and of the bytes of the first and last frame: tells whether a folder is this shot's. */
  fingerprint: orNull(text),
  /** SHA-256 of the bytes of the first frame alone, which stays the same while a shot is being taken. */
  startPrint: text.nullable().exactOptional(),
  /** Name of the sample that its frames come from, which lies beside the page. */
  sample: name.nullable().exactOptional(),
  /** When it was last open. */
  opened: moment.exactOptional(),
  /** How many flags its report has, and how many of them nobody has decided about. */
  found: z.looseObject({ flags: z.int().nonnegative(), open: z.int().nonnegative() }).exactOptional(),
  /** Ids of the flags that the report before this one did not have; a verdict takes a flag off the list. */
  freshFlags: z.array(name).exactOptional(),
  /** Id of the report that is shown, or null while it was never checked. */
  report: orNull(id),
  made: moment,
  changed: moment,
});

/** The flag that a verdict was given on, as it was then, so that it is found again in a later report. */
export const judgedFlagSchema = z.looseObject({
  id: name,
  kind: z.enum(flagKinds),
  part: orNull(name),
  from: frame,
  to: frame,
  /** Size and its 1 sigma when it was judged, px; null for kinds without one. */
  px: orNull(pixels),
  sigma: orNull(z.number().nonnegative()),
  stops: orNull(z.number()),
  /** Where it was, for flags without a part. */
  region: ring.nullable().exactOptional(),
});

export const verdictSchema = z.looseObject({
  id,
  shot: id,
  flag: judgedFlagSchema,
  choice: z.enum(verdictChoices),
  /** Initials or a name; empty where nobody said. */
  who: text.default(""),
  note: text.default(""),
  /** "I know, until this hold ends": quiet up to this frame; null: for good. */
  untilFrame: orNull(frame),
  made: moment,
  changed: moment,
});

export const noteSchema = z.looseObject({
  id,
  shot: id,
  frame: orNull(frame),
  part: orNull(name),
  text: name,
  who: text.default(""),
  made: moment,
  changed: moment,
});

/** A puppet of a production, with its copies and the list of its parts and joints, shared by all of its shots. */
export const puppetSchema = z.looseObject({
  id,
  production: id,
  /** As sheets write it. */
  name,
  copies: z.array(name).default([]),
  parts: z
    .array(
      z.looseObject({
        id: name,
        name,
        kind: z.enum(everyPartKind),
        carrier: orNull(name),
        build: orNull(z.enum(builds)),
        massGrams: orNull(z.number().positive()),
        joints: z.array(z.looseObject({ id: name, name })).default([]),
      }),
    )
    .default([]),
  made: moment,
  changed: moment,
});

export const repairSchema = z.looseObject({
  id,
  production: id,
  /** Name of the puppet as sheets write it, and which copy; copy null: all of them, or there is one. */
  puppet: orNull(name),
  copy: orNull(name),
  part: name,
  joint: orNull(name),
  /** Id of a fix of the workshop, or null where `what` says it. */
  fix: orNull(name),
  what: text.default(""),
  who: text.default(""),
  /** When it was done, local time to the minute, "2026-03-02T14:30": capture times are compared with it. */
  done: z.iso.datetime({ local: true }),
  made: moment,
  changed: moment,
});

/** A shot that is still to be taken, and whom it needs. */
export const comingShotSchema = z.looseObject({
  id,
  production: id,
  name,
  day: orNull(z.iso.date()),
  needs: z.array(z.looseObject({ puppet: name, copy: orNull(name) })),
  note: text.default(""),
  made: moment,
  changed: moment,
});

export type Production = Trusted<z.output<typeof productionSchema>>;
/** One take of one shot. Its frames stay where they are. */
export type ShotRecord = Trusted<z.output<typeof shotRecordSchema>>;
export type JudgedFlag = Trusted<z.output<typeof judgedFlagSchema>>;
export type Verdict = Trusted<z.output<typeof verdictSchema>>;
export type Note = Trusted<z.output<typeof noteSchema>>;
export type Puppet = Trusted<z.output<typeof puppetSchema>>;
export type Repair = Trusted<z.output<typeof repairSchema>>;
export type ComingShot = Trusted<z.output<typeof comingShotSchema>>;
