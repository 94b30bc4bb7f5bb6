import type { Flag, FlagKind, Part } from "../../model/index.ts";
import type { JudgeInput } from "../series.ts";
import type { CameraEvent } from "./evidence/camera-motion.ts";
import type { FocusChange } from "./evidence/focus-change.ts";
import type { LeftOverEvent } from "./evidence/left-over-events.ts";
import type { Jitter } from "./evidence/left-over-jitter.ts";
import type { LightChange } from "./evidence/light-change.ts";
import type { PartDrift } from "./evidence/part-drift.ts";

/** All that a shot's series say happened in it, each cause once, before anybody asks whether it matters. */
export interface Evidence {
  readonly input: JudgeInput;
  readonly drifts: readonly PartDrift[];
  readonly camera: readonly CameraEvent[];
  readonly light: readonly LightChange[];
  readonly focus: readonly FocusChange[];
  /** What slipped over its carrier, and what jitters on it. */
  readonly slips: readonly LeftOverEvent[];
  readonly jitters: readonly Jitter[];
  /** Rows of the longest series of parts, of the camera and of the light: what the thresholds are told for. */
  readonly rows: { readonly held: number; readonly camera: number; readonly light: number };
}

/** A flag before it gets its id. */
export type Finding = Omit<Flag, "id">;

/** A drift up to which nothing is flagged. */
export interface Band {
  /** Key under which a person may set it: the kind, or the kind and what it is for. */
  readonly key: string;
  readonly value: number;
  /** Fractions are of linear light: 0.02 is 2 %. */
  readonly unit: "px" | "fraction";
}

/** One kind of flag. Adding a kind is one file with this in it, and a line in the table of index.ts. */
export interface Kind {
  readonly kind: FlagKind;
  /** What is compared with the threshold, and where it comes from. */
  readonly statistic: string;
  readonly source: string;
  readonly bands: readonly Band[];
  /** What the statistic had to exceed in the shot's longest series; null where there was none. */
  threshold(evidence: Evidence): number | null;
  /** Findings that are significant and beyond their band. */
  find(evidence: Evidence, bandOf: BandOf): readonly Finding[];
}

/** The band that holds for a key: a person's for the whole shot, else the part's own, else the default. */
export type BandOf = (key: string, part?: Part) => number;
