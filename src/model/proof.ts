import { px, radians } from "../units/index.ts";
import { everyPartKind, flagKinds } from "./kinds.ts";
import { madeSchema, reportShotSchema } from "./report.ts";
import { count, finite, frame, name, orNull, positive, text, type Trusted, z } from "./schema.ts";

// The proof file: which known drifts were put into held parts of a shot's own frames, and what came back.
// Px are those of the original frame, an uncertainty is 1 sigma.

export const PROOF_FORMAT = "holdfast-proof";
/** The latest version of the format that is read; it is the one that is written. */
export const PROOF_VERSION = 1;

const pixels = finite.transform(px);
const sigmaPx = z.number().nonnegative().transform(px);

const proofFrameSchema = z.looseObject({
  frame,
  /** How far the place `at` was moved, px. */
  putPx: sigmaPx,
  /** How far it was measured to have moved along the way it was put, less its own motion; null where there is no number. */
  measuredPx: orNull(pixels),
  /** Distance of the measured displacement from the known one, px. */
  errorPx: orNull(sigmaPx),
  /** Reported uncertainty of the measurement along the way it was put, px. */
  sigma: orNull(sigmaPx),
});

const partProofSchema = z.looseObject({
  part: name,
  name,
  kind: z.enum(everyPartKind),
  anchor: frame,
  /** First and last frame that the drift was put into; it rises in a line. */
  from: frame,
  to: frame,
  put: z.looseObject({
    px: positive.transform(px),
    /** The place of the part that goes farthest, at the anchor, and the way it goes. */
    at: z.tuple([pixels, pixels]),
    direction: z.tuple([finite, finite]),
    /** Turn at the last frame; 0 for a slide. */
    turn: finite.transform(radians),
    /** Joint about which it turns; null for a slide. */
    joint: orNull(name),
  }),
  /** What the part is allowed before it is flagged. */
  bandPx: sigmaPx,
  /** True where the part drifted by itself: that was taken off before flags were judged. */
  ownDriftTakenOff: z.boolean(),
  frames: z.array(proofFrameSchema),
  cameBack: z.looseObject({
    /** At the last frame with a number. */
    px: pixels,
    sigma: sigmaPx,
    biasPx: pixels,
    rmsPx: sigmaPx,
    /** Root mean square of error over sigma, for each of the two directions. */
    z: z.number().nonnegative(),
    /** All of it within three sigma and 0.02 px of the analysed frame. */
    proved: z.boolean(),
  }),
  /** The flag that the drift raised with the bands as they are; null where it raised none. */
  flag: orNull(
    z.looseObject({
      kind: z.enum(flagKinds),
      rightKind: z.boolean(),
      px: orNull(pixels),
      sigma: orNull(z.number().nonnegative()),
      from: frame,
      to: frame,
      joint: orNull(name),
      /** Whether the joint told is the one it turned about; null where it slid. */
      rightJoint: orNull(z.boolean()),
    }),
  ),
  /** The smallest drift that is flagged with the band opened; null where none tried is. */
  smallest: orNull(
    z.looseObject({
      px: positive.transform(px),
      sigma: sigmaPx,
      /** The largest one tried below it that was not seen; null where all were. */
      notSeenPx: orNull(sigmaPx),
    }),
  ),
  /** Every size that was tried, rising, and whether it was flagged with the band opened. */
  tried: z.array(z.looseObject({ px: positive.transform(px), flagged: z.boolean() })),
  message: text,
});

export const proofSchema = z.looseObject({
  format: z.literal(PROOF_FORMAT),
  version: z.literal(PROOF_VERSION),
  shot: z.looseObject({
    name: reportShotSchema.shape.name,
    width: count,
    height: count,
    frames: z.array(frame),
    analysisWidth: count,
    folder: text,
  }),
  made: z.looseObject({ holdfast: madeSchema.shape.holdfast, sheetSha256: madeSchema.shape.sheetSha256 }),
  parts: z.array(partProofSchema),
  /** Parts into which nothing was put, or on which nothing could be measured, and why. */
  notProved: z.array(z.looseObject({ part: name, name, reason: text })).default([]),
});

/** A known drift in one frame and what was measured of it. */
export type ProofFrame = Trusted<z.output<typeof proofFrameSchema>>;
/** What was put into one part, and what came back. */
export type PartProof = Trusted<z.output<typeof partProofSchema>>;
export type Proof = Trusted<z.output<typeof proofSchema>>;
