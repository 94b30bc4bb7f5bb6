import { kinds } from "../../../src/analysis/kinds/index.ts";
import type { Flag, FlagKind, Report } from "../../../src/model/index.ts";
import { boundsOf } from "../../../src/model/geometry.ts";
import type { Seeded } from "../../support/seeded-faults.ts";
import type { BenchShot } from "./recipe.ts";

// What a report says, held against what was put into the shot.

export interface FaultScore {
  readonly name: string;
  readonly kind: FlagKind;
  readonly part: string | null;
  readonly texture: string | null;
  /** False where no file judges the kind yet. */
  readonly judged: boolean;
  /** Something is flagged there and then. */
  readonly found: boolean;
  readonly rightKind: boolean;
  /** The kind that it was given. */
  readonly as: FlagKind | null;
  /** Missed, while a flag of its kind and time stands on another part. */
  readonly elsewhere: boolean;
  /** Frames from where it could have been told to where the flag begins. */
  readonly onset: number | null;
  readonly pxError: number | null;
  readonly joint: "right" | "wrong" | "not told" | null;
  /** Distance of the told pivot from the true one, as a share of the limb. */
  readonly pivotOff: number | null;
  /** Share of the part's frames without a number. */
  readonly notMeasured: number;
  /** Its size in standard errors of a perfect estimator; null where that isn't known. */
  readonly perfect: number | null;
}

export interface BandScore {
  readonly faults: readonly FaultScore[];
  /** Flags that nothing in the shot explains. */
  readonly wrong: readonly { readonly kind: FlagKind; readonly part: string | null; readonly message: string }[];
}

/** Frames that a flag may begin before or after its fault and still be of it. */
const SLACK = 3;

const judgedKinds: ReadonlySet<FlagKind> = new Set(kinds.map(({ kind }) => kind));
/** Kinds that are of the whole frame. */
const FRAME_WIDE: ReadonlySet<FlagKind> = new Set(["camera-shift", "light", "soft", "repeat"]);

/** Regions and found parts are made of cells of the grid: a place may be this far outside, px. */
const NEAR = 40;

/** What can be told without a sheet: a part that drifts is no puppet and no set to it. */
const FOUND_ALIKE: ReadonlySet<FlagKind> = new Set(["sag", "spring-back", "knock", "pop", "set-shift"]);

export interface ScoreChoice {
  /** True where the shot was checked without its sheet: parts are known by their place alone. */
  readonly noSheet: boolean;
  /** Size of each of the shot's faults in standard errors of a perfect estimator. */
  readonly perfect: readonly (number | null)[];
}

function isThere(flag: Flag, fault: Seeded, report: Report, noSheet: boolean): boolean {
  if (FRAME_WIDE.has(fault.kind)) return FRAME_WIDE.has(flag.kind);
  if (fault.part !== null && !noSheet) return flag.part === fault.part;
  if (fault.place === null || (flag.part !== null && !noSheet)) return false;
  const region = flag.region ?? report.parts.find(({ id }) => id === flag.part)?.outline ?? null;
  if (region === null) return false;
  const [left, top, right, bottom] = boundsOf(region);
  const [x, y] = fault.place;
  return x > left - NEAR && x < right + NEAR && y > top - NEAR && y < bottom + NEAR;
}

const isKind = (as: FlagKind, kind: FlagKind, noSheet: boolean): boolean =>
  as === kind || (noSheet && kind === "set-shift" && FOUND_ALIKE.has(as));

const isThen = (flag: Flag, fault: Seeded): boolean => flag.to >= fault.from - SLACK && flag.from <= fault.to + SLACK;

/**
 * First frame whose true drift exceeds 3 reported sigma; its first frame of all where none does. Null for what grows and
 * whose sigmas no report tells frame by frame.
 * @param part that is told of it: without a sheet it is not the fault's own
 */
function tellableFrom(report: Report, { growth, kind, from }: Seeded, part: string | null): number | null {
  if (growth === undefined) return from === 2 ? null : from;
  if (kind === "camera-shift")
    return (
      report.frames.find(({ frame, camera }) => camera !== null && growth.at(frame) > 3 * camera.sigma)?.frame ?? from
    );
  const [u, v] = growth.direction;
  for (const { part: id, frame, sigmaDx, sigmaDy, rho } of report.tracks) {
    if (id !== part || sigmaDx === null || sigmaDy === null) continue;
    // By the whole covariance: what can't be told along a stripe says nothing against what is plain across.
    const free = 1 - (rho ?? 0) ** 2;
    const [x, y] = [(growth.at(frame) * u) / sigmaDx, (growth.at(frame) * v) / sigmaDy];
    const square = (x * x + y * y - 2 * (rho ?? 0) * x * y) / free;
    if (square > 9) return frame;
  }
  return from;
}

function notMeasured(report: Report, part: string | null): number {
  const rows = report.tracks.filter((track) => track.part === part && track.state !== "hidden");
  return rows.length === 0 ? 0 : rows.filter(({ dx }) => dx === null).length / rows.length;
}

function jointScore(flag: Flag | null, fault: Seeded, shot: BenchShot): Pick<FaultScore, "joint" | "pivotOff"> {
  if (fault.joint === undefined || fault.pivot === undefined || flag === null) return { joint: null, pivotOff: null };
  const [x, y] = fault.pivot;
  const told = [...(flag.joint === null ? [] : [flag.joint]), ...(flag.alsoJoints ?? [])];
  const moved = [fault.part, ...(fault.carries ?? [])];
  const points = shot.shot.scene.layers.filter(({ id }) => moved.includes(id)).flatMap(({ outline }) => outline);
  const limb = Math.max(...points.map(([u, v]) => Math.hypot(u - x, v - y)));
  return {
    joint: told.length === 0 ? "not told" : told.includes(fault.joint) ? "right" : "wrong",
    pivotOff: flag.pivot === null ? null : Math.hypot(flag.pivot[0] - x, flag.pivot[1] - y) / limb,
  };
}

export function scoreOf(report: Report, shot: BenchShot, { noSheet, perfect }: ScoreChoice): BandScore {
  const left = new Set(report.flags);
  const put = noSheet ? shot.faults.filter(({ kind }) => FOUND_ALIKE.has(kind) || FRAME_WIDE.has(kind)) : shot.faults;
  const taken = put.map((fault) => {
    const candidates = [...left].filter((flag) => isThere(flag, fault, report, noSheet) && isThen(flag, fault));
    const flag = candidates.find(({ kind }) => isKind(kind, fault.kind, noSheet)) ?? candidates[0] ?? null;
    if (flag !== null) left.delete(flag);
    return flag;
  });
  const faults = put.map((fault, i): FaultScore => {
    const flag = taken[i];
    const stranger =
      flag === null && !noSheet
        ? [...left].find(({ kind, from }) => kind === fault.kind && Math.abs(from - fault.from) <= SLACK)
        : undefined;
    if (stranger !== undefined) left.delete(stranger);
    const tellable = flag === null ? null : tellableFrom(report, fault, noSheet ? flag.part : fault.part);
    return {
      name: fault.name,
      kind: fault.kind,
      part: fault.part,
      texture: fault.texture,
      judged: judgedKinds.has(fault.kind),
      found: flag !== null,
      rightKind: flag !== null && isKind(flag.kind, fault.kind, noSheet),
      as: flag?.kind ?? null,
      elsewhere: stranger !== undefined,
      onset: flag === null || tellable === null ? null : flag.from - tellable,
      pxError: flag === null || flag.px === null || fault.px === null ? null : flag.px - fault.px,
      ...jointScore(flag, fault, shot),
      notMeasured: notMeasured(report, fault.part),
      perfect: perfect[shot.faults.indexOf(fault)] ?? null,
    };
  });
  // What was put in and can't be told apart without a sheet still moved there.
  const isExplained = (flag: Flag): boolean =>
    noSheet && shot.faults.some((fault) => isThere(flag, fault, report, noSheet) && isThen(flag, fault));
  const wrong = [...left]
    .filter((flag) => !isExplained(flag))
    .filter(({ kind }) => !shot.allowed.includes(kind))
    .map(({ kind, part, message }) => ({ kind, part, message }));
  return { faults, wrong };
}
