import type { PartProof, Proof } from "../../src/model/index.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";

// A proof to be written, read and told in words: the left upper arm of Oda, shot hive_010.

export const examplePart: PartProof = {
  part: "upper-arm-left",
  name: "Left upper arm",
  kind: "limb",
  anchor: frameNumber(1),
  from: frameNumber(5),
  to: frameNumber(24),
  put: {
    px: px(1),
    at: [px(903.5), px(340.25)],
    direction: [0.1, 0.995],
    turn: radians(0.010638298),
    joint: "shoulder-left",
  },
  bandPx: px(0.3),
  ownDriftTakenOff: true,
  frames: [
    { frame: frameNumber(23), putPx: px(0.95), measuredPx: px(0.948), errorPx: px(0.003), sigma: px(0.011) },
    { frame: frameNumber(24), putPx: px(1), measuredPx: null, errorPx: null, sigma: null },
  ],
  cameBack: { px: px(0.994), sigma: px(0.011), biasPx: px(-0.002), rmsPx: px(0.003), z: 0.31, proved: true },
  flag: {
    kind: "sag",
    rightKind: true,
    px: px(0.99),
    sigma: 0.012,
    from: frameNumber(6),
    to: frameNumber(24),
    joint: "shoulder-left",
    rightJoint: true,
  },
  smallest: { px: px(0.06), sigma: px(0.01), notSeenPx: px(0.05) },
  tried: [
    { px: px(0.05), flagged: false },
    { px: px(0.06), flagged: true },
    { px: px(1), flagged: true },
  ],
  message:
    "Into the left upper arm a sag of 1.00 px was put, frame 5 to 24; it came back as 0.99 ± 0.01 px, flagged as a sag about the left shoulder.",
};

export const exampleProof: Proof = {
  format: "holdfast-proof",
  version: 1,
  shot: {
    name: "hive_010",
    width: 1280,
    height: 720,
    frames: [1, 5, 6, 23, 24].map(frameNumber),
    analysisWidth: 1280,
    folder: "hive_010",
  },
  made: { holdfast: "0.1.0", sheetSha256: null },
  parts: [examplePart],
  notProved: [{ part: "arm-right", name: "Right arm", reason: "it is never held" }],
};
