import type { PairNoise } from "../measure/pair-noise.ts";
import { insidePolygon, type Polygon } from "../measure/mask.ts";
import { median } from "../measure/statistics/robust.ts";
import { intentAt, type Part } from "../model/index.ts";
import type { FrameNumber } from "../units/index.ts";
import { between, chained, type Pose, stillSeen } from "./camera-chain.ts";
import type { PlannedCamera } from "./contract.ts";
import { type CameraFit, cameraStep, fitCamera, LEAST_CELLS } from "./camera.ts";
import { CellHistory } from "./cell-history.ts";
import { type FocusFit, focusOfShot } from "./focus.ts";
import type { LightFit } from "./light.ts";
import { LightPath } from "./light-path.ts";
import type { FrameMeasurement, GridMeasurement } from "./measurement.ts";
import { movedCells } from "./moved-outlines.ts";
import { bounded, type Bounded, isWithin, nearAny, nearEdge, nearPolygon } from "./near-outline.ts";
import { StrayCollector, type StrayThing } from "./strays.ts";
import { setDisagrees, unsteadyCells } from "./still-cells.ts";
import { PartPath, type Shape, type ShapeKey } from "./part-path.ts";
import type { RegionMotion } from "./region-motion.ts";

/** Motion between two frames above which a part moves, px of the analysed frame, and in its own sigmas. */
export const MOVES_PX = 0.12;
export const MOVES_Z = 5;
/** How far around an animated part the background is left out: the reach of a subset, px. */
const MARGIN = 16;
/** How far about a part that moves its contact shadow and its blur may change the picture, px. */
const BESIDE_MOVING = 24;
const MOST_REACH = 100;
/** The same of what was found in the pictures: nobody drew it, and its shadow falls where no outline is. */
const MOST_REACH_FOUND = 200;
/** And about the edge of one that is held, which shows the least drift. */
const BESIDE_EDGE = 8;
/** Times that parts are looked for which pull the camera after them. */
const MOVED_ROUNDS = 3;

export interface AnalysedFrame {
  readonly frame: FrameNumber;
  readonly camera: CameraFit | null;
  readonly light: LightFit | null;
  readonly pairNoise?: PairNoise;
  readonly focus?: FocusFit;
}

/** One part with its outlines brought to the analysed frame. */
export interface AnalysedPart {
  readonly part: Part;
  readonly path: PartPath;
  /** For each analysed frame: whether the pictures show that it moved since the frame before. Declared intents decide first. */
  readonly moves: boolean[];
  /** The part's own joints, px of the analysed frame, each told at a frame. */
  readonly joints: readonly AnalysedJoint[];
}

export interface AnalysedJoint {
  readonly id: string;
  readonly name: string;
  readonly frame: FrameNumber;
  readonly at: readonly [number, number];
}

/** A part as the sheet has it, its places brought to the analysed frame. */
export interface PartSource {
  readonly part: Part;
  readonly keys: readonly ShapeKey[];
  readonly joints: readonly AnalysedJoint[];
}

/** Background grid of a frame, and the cells of it that something moves in. */
interface KeptFrame {
  readonly grid: GridMeasurement;
  readonly left: Uint8Array;
  /** Where the camera was told against another frame than the shot's reference; its cells then show something else. */
  readonly against?: FrameNumber;
}

/** Share of a reference's picture that a frame must still show to be measured against it. */
const IN_SIGHT = 0.7;
/** A subset no longer lies on itself where the picture turned or grew by more than this. */
const MOST_TURN = 0.04;
const MOST_GROWTH = 0.03;

const isInSight = (pose: Pose, width: number, height: number): boolean =>
  stillSeen(pose, width, height) > IN_SIGHT &&
  Math.abs(pose.turn) < MOST_TURN &&
  Math.abs(Math.log(pose.scale)) < MOST_GROWTH;

/** 1 for each cell of the grid whose centre fulfils the condition. */
function cellsWhere(grid: GridMeasurement, condition: (x: number, y: number) => boolean): Uint8Array {
  const out = new Uint8Array(grid.valid.length);
  for (let i = 0; i < out.length; i++)
    if (condition(grid.originX + (i % grid.cols) * grid.step, grid.originY + Math.floor(i / grid.cols) * grid.step))
      out[i] = 1;
  return out;
}

/** How far about a part that moves it may show, px: its length, since what is tucked under others is in no outline. */
function reachOf(outline: Polygon, most: number): number {
  const { x0, y0, x1, y1 } = bounded(outline, 0);
  return Math.max(BESIDE_MOVING, Math.min(most, Math.max(x1 - x0, y1 - y0)));
}

/** Middle motion of the nodes of a pair: what the picture as a whole did since the frame before. */
function pairShift(pair: GridMeasurement): { dx: number; dy: number } {
  const xs: number[] = [];
  const ys: number[] = [];
  for (let i = 0; i < pair.valid.length; i++) {
    if (pair.valid[i] === 0) continue;
    xs.push(pair.dx[i]);
    ys.push(pair.dy[i]);
  }
  if (xs.length === 0) return { dx: 0, dy: 0 };
  xs.sort((a, b) => a - b);
  ys.sort((a, b) => a - b);
  return { dx: xs[xs.length >> 1], dy: ys[ys.length >> 1] };
}

/**
 * Follows a shot frame by frame: outlines of what is animated, camera, light. Takes each frame's measurement once, in
 * the order of the frames, and keeps only what is small, so that a shot's length costs no memory.
 */
export class ShotTracker {
  /** As first told, frame by frame; `settledFrames` is what counts in the end. */
  readonly frames: AnalysedFrame[] = [];
  readonly parts: readonly AnalysedPart[];
  /** Cell by cell history of the background grid, in which what nobody outlined is found. */
  readonly cells = new CellHistory();
  private readonly outlined: (x: number, y: number) => boolean;
  /** For each part that is no set: whether a cell there shows any of it. */
  private readonly touches: readonly ((x: number, y: number) => boolean)[];
  private readonly light: LightPath;
  private readonly strays = new StrayCollector();
  private readonly kept: KeptFrame[] = [];
  /** Camera of each frame as far as it is known at all: by the grid, else carried on from the frame before. */
  private readonly roughly: (CameraFit | null)[] = [];
  private settled: readonly AnalysedFrame[] | null = null;
  /** The same with nothing known to have moved. */
  private firstSettled: readonly AnalysedFrame[] | null = null;
  /** 1 for each cell that shows any of what is known to have moved. */
  private knownToMove: Uint8Array | null = null;

  constructor(
    parts: readonly PartSource[],
    private readonly width: number,
    private readonly height: number,
  ) {
    // An outlined piece of the set is still the set.
    const outlines = parts.filter(({ part }) => part.kind !== "set").map(({ keys }) => keys.map((key) => key.outline));
    const boxes = outlines.flat().map((outline) => bounded(outline, 0));
    this.touches = outlines.map((own) => nearAny(own, MARGIN));
    this.outlined = (x, y) => boxes.some((one) => isWithin(one, x, y) && insidePolygon(one.outline, x, y));
    this.parts = parts.map(({ part, keys, joints }) => ({ part, path: new PartPath(keys), moves: [], joints }));
    this.light = new LightPath(width, height);
  }

  get numbers(): FrameNumber[] {
    return this.frames.map((frame) => frame.frame);
  }

  take(measurement: FrameMeasurement): void {
    const { frame, grid, pair, pairNoise, changed } = measurement;
    if (grid === null) return;
    const previous = this.frames.at(-1);
    const moving: Polygon[] = [];
    const motions = new Map<AnalysedPart, RegionMotion | null>();
    for (const analysed of this.parts) {
      if (previous === undefined || pair === null) {
        analysed.path.start(frame);
        analysed.moves.push(intentAt(analysed.part, frame)?.intent === "moves");
      } else {
        const declared = intentAt(analysed.part, frame)?.intent ?? null;
        const motion =
          declared === null || declared === "moves" || declared === "rides"
            ? analysed.path.motionOf(previous.frame, pair)
            : null;
        const moves = declared === null ? this.hasMoved(motion, pair) : declared === "moves";
        analysed.moves.push(moves);
        const follows = moves || (declared === "rides" && this.hasMoved(motion, pair));
        if (follows) {
          analysed.path.step(previous.frame, frame, motion, pair);
          motions.set(analysed, motion);
        }
      }
      if (analysed.moves.at(-1) === true) {
        const here = analysed.path.shapes.get(frame);
        if (here !== undefined) moving.push(here.outline);
        // Where it was in the reference frame there is something else now.
        const first = this.frames[0];
        const there = first === undefined ? undefined : analysed.path.shapes.get(first.frame);
        if (there !== undefined) moving.push(there.outline);
      }
    }
    const isMoving = nearAny(moving, MARGIN);
    const left = cellsWhere(grid, isMoving);
    const excluded = (_x: number, _y: number, i: number): boolean => left[i] === 1;
    const camera = fitCamera(grid, excluded, this.outlined, this.width, this.height);
    const light = this.light.take(grid, excluded);
    this.kept.push({ grid, left });
    const cameraBefore = this.roughly.at(-1) ?? null;
    const here = camera ?? this.carriedOn(cameraBefore, pair, isMoving);
    this.roughly.push(here);
    if (previous !== undefined) {
      for (const analysed of this.parts) {
        if (motions.has(analysed)) continue;
        // A swapped piece shows another picture than before: where it goes, its carrier says.
        const swapped = intentAt(analysed.part, frame)?.intent === "swapped";
        const carrier = swapped ? this.parts.find(({ part }) => part.id === analysed.part.carrier) : undefined;
        const carried = carrier === undefined ? null : (motions.get(carrier) ?? null);
        analysed.path.step(
          previous.frame,
          frame,
          carried ?? this.cameraMotion(cameraBefore, here, analysed.path.shapes.get(previous.frame)),
          pair,
        );
      }
    }
    if (changed !== undefined) this.strays.take(frame, changed, this.changesOnPurpose(frame));
    this.frames.push({
      frame,
      camera,
      light,
      ...(pairNoise === undefined ? {} : { pairNoise }),
    });
    if (pair !== null) this.cells.take(grid, pair);
    this.unsettle();
  }

  /** The camera where the picture has left the reference: what it did since the frame before, on top of where it was. */
  private carriedOn(
    before: CameraFit | null,
    pair: GridMeasurement | null,
    isMoving: (x: number, y: number) => boolean,
  ): CameraFit | null {
    if (before === null || pair === null) return null;
    const step = fitCamera(pair, isMoving, this.outlined, this.width, this.height);
    return step === null ? null : chained(before, step);
  }

  /**
   * Cameras to look for the picture by, where it has left its reference in some frames; empty where it has not. Such a
   * frame is measured against the nearest reference that it still shows, which may itself be one that was taken again.
   */
  toFollow(): PlannedCamera[] {
    const planned: PlannedCamera[] = [];
    let [key, again] = [0, false];
    this.frames.forEach(({ frame, camera }, i) => {
      const here = this.roughly[i];
      if (here === null) return;
      const near = (of: number) => {
        const from = this.roughly[of];
        return from !== null && isInSight(between(from, here), this.width, this.height);
      };
      if (camera === null && !near(key) && i > 0 && near(i - 1)) key = i - 1;
      if (camera === null) again = true;
      const against = this.frames[camera === null ? key : 0].frame;
      planned.push({ frame, dx: here.dx, dy: here.dy, turn: here.turn, scale: here.scale, against });
    });
    return again ? planned : [];
  }

  /** Background grids measured again, each against the frame that it says. Errors of one reference after another add up. */
  followed(grids: ReadonlyMap<FrameNumber, GridMeasurement>): void {
    const places = new Map(this.frames.map(({ frame }, i) => [frame, i] as const));
    this.frames.forEach((analysed, i) => {
      const grid = grids.get(analysed.frame);
      const near = grid === undefined ? undefined : places.get(grid.against);
      const from = near === undefined ? null : this.frames[near].camera;
      if (grid === undefined || near === undefined || from === null) return;
      const [there, here] = [near, i].map((place) => nearAny(this.movingAt(place), MARGIN));
      const isMoving = (x: number, y: number, cell: number): boolean =>
        there(x, y) || here(x + grid.dx[cell], y + grid.dy[cell]);
      const measured = fitCamera(grid, isMoving, this.outlined, this.width, this.height);
      if (measured === null) return;
      const camera = chained(from, measured);
      this.roughly[i] = camera;
      this.kept[i] = { ...this.kept[i], against: grid.against };
      this.frames[i] = { ...analysed, camera };
    });
    this.unsettle();
  }

  private unsettle(): void {
    this.knownToMove = null;
    this.settled = null;
    this.firstSettled = null;
  }

  /** Frames that others were measured against when the picture had left the first one, with how many links lead there. */
  referencesTaken(): { readonly frame: FrameNumber; readonly used: number }[] {
    const used = new Map<FrameNumber, number>();
    for (const { against } of this.kept) if (against !== undefined) used.set(against, (used.get(against) ?? 0) + 1);
    used.delete(this.frames[0]?.frame);
    return [...used].map(([frame, count]) => ({ frame, used: count }));
  }

  private movingAt(place: number): Polygon[] {
    return this.parts.flatMap(({ moves, path }) => {
      const shape = moves[place] ? path.shapes.get(this.frames[place].frame) : undefined;
      return shape === undefined ? [] : [shape.outline];
    });
  }

  /**
   * Camera, light and focus once the whole shot is known: cells that are not still over many frames are left out. Where the
   * shot is too short for that, the same as `frames`.
   */
  settledFrames(): readonly AnalysedFrame[] {
    if (this.settled === null) {
      const { frames, moved } = this.settle(this.kept, this.frames);
      const seen = this.kept.map((one, i) => ({ ...one, camera: frames[i].camera }));
      const focus = focusOfShot(seen, this.numbers, moved, this.width, this.height);
      this.settled = frames.map((frame, i) => {
        const told = focus[i];
        return told === null ? frame : { ...frame, focus: told };
      });
      if (this.knownToMove === null) this.firstSettled = this.settled;
    }
    return this.settled;
  }

  /** The same of the shot with other background grids in some of its frames. Light stays as it was told. */
  settledWith(grids: ReadonlyMap<FrameNumber, GridMeasurement>): readonly AnalysedFrame[] {
    const kept = this.kept.map((one, i) => ({ ...one, grid: grids.get(this.frames[i].frame) ?? one.grid }));
    const first = this.frames.map((frame, i) => {
      // A picture that has left the reference was found by its neighbours: another look at it alone would not find it.
      if (!grids.has(frame.frame) || this.kept[i].against !== undefined) return frame;
      const { grid, left } = kept[i];
      return {
        ...frame,
        camera: fitCamera(grid, (_x, _y, cell) => left[cell] === 1, this.outlined, this.width, this.height),
      };
    });
    return this.settle(kept, first).frames;
  }

  /**
   * What is known to have moved is left out of the camera from here on, and nothing else: a part that crept by less than a
   * cell shows pulls the camera after it all the same, and a part's own series tell that far finer.
   * @param outlines px of the analysed frame
   */
  leaveOut(outlines: readonly Polygon[]): void {
    const [first] = this.kept;
    const none = first === undefined || outlines.length === 0;
    this.knownToMove = none ? null : cellsWhere(first.grid, nearAny(outlines, MARGIN));
    this.settled = none ? this.firstSettled : null;
  }

  /** Frames with their settled camera, and 1 for each cell that moved at any time. */
  private settle(
    kept: readonly KeptFrame[],
    first: readonly AnalysedFrame[],
  ): { readonly frames: readonly AnalysedFrame[]; readonly moved: Uint8Array } {
    const unsteady = unsteadyCells(
      kept.flatMap(({ grid, against }, i) => (against === undefined ? [{ grid, camera: first[i].camera }] : [])),
      this.width,
      this.height,
    );
    const known = this.knownToMove;
    if (
      known !== null &&
      this.leaves(kept, (left, cell) => left[cell] === 1 || unsteady[cell] === 1 || known[cell] === 1)
    )
      known.forEach((cell, i) => (unsteady[i] = unsteady[i] | cell));
    let frames = unsteady.some((cell) => cell === 1)
      ? this.fitted(kept, first, (left, cell) => left[cell] === 1 || unsteady[cell] === 1)
      : first.slice();
    const unused = unsteady.slice();
    const parts = kept.length === 0 ? [] : this.touches.map((touches) => cellsWhere(kept[0].grid, touches));
    // A part that pulls hides how far others went: again without it.
    for (let round = 0; round < MOVED_ROUNDS; round++) {
      const before = kept.flatMap(({ grid, left, against }, i) =>
        against === undefined ? [{ grid, left, camera: frames[i].camera }] : [],
      );
      const moved = movedCells(before, parts, this.width, this.height);
      if (moved === null || moved.every((cell, i) => cell === 0 || unused[i] === 1)) break;
      moved.forEach((cell, i) => (unused[i] = unused[i] | cell));
      frames = this.fitted(kept, frames, (left, cell) => left[cell] === 1 || unused[cell] === 1);
    }
    // What the sheet outlines may have moved; what it doesn't is the set. Where the two disagree the set is right.
    const inPart = kept.length === 0 ? new Uint8Array(0) : this.cellsOfParts(kept[0].grid);
    const set = kept.flatMap(({ grid, left, against }, i) =>
      against === undefined ? [{ grid, left, camera: frames[i].camera }] : [],
    );
    if (setDisagrees(set, inPart, this.width, this.height))
      frames = this.fitted(kept, first, (left, cell) => left[cell] === 1 || unsteady[cell] === 1 || inPart[cell] === 1);
    return { frames, moved: unused };
  }

  /** Cells that show any of a part, with the reach of a subset; by their centres alone where else no set would be left. */
  private cellsOfParts(grid: GridMeasurement): Uint8Array {
    const near = cellsWhere(grid, (x, y) => this.touches.some((touches) => touches(x, y)));
    const free = near.reduce((count, cell) => count + 1 - cell, 0);
    return free >= 2 * LEAST_CELLS ? near : cellsWhere(grid, this.outlined);
  }

  /** Whether enough of the set is left. Two cameras by turns, one of them from a handful of cells, would be a motion that nobody made. */
  private leaves(kept: readonly KeptFrame[], leftOut: (left: Uint8Array, cell: number) => boolean): boolean {
    const free = kept
      .filter(({ against }) => against === undefined)
      .map(({ grid, left }) =>
        grid.valid.reduce((count, valid, cell) => count + (valid === 1 && !leftOut(left, cell) ? 1 : 0), 0),
      );
    return median(free) >= 2 * LEAST_CELLS;
  }

  /** All frames with the camera fitted again without some cells; the first answer stays where too few cells are left. */
  private fitted(
    kept: readonly KeptFrame[],
    first: readonly AnalysedFrame[],
    leftOut: (left: Uint8Array, cell: number) => boolean,
  ): AnalysedFrame[] {
    if (!this.leaves(kept, leftOut)) return first.slice();
    return kept.map(({ grid, left, against }, i) => {
      if (against !== undefined) return first[i];
      const excluded = (_x: number, _y: number, cell: number): boolean => leftOut(left, cell);
      const camera = fitCamera(grid, excluded, this.outlined, this.width, this.height);
      return { ...first[i], camera: camera ?? first[i].camera };
    });
  }

  /** The background grid of every frame so far with its camera, for finding parts. */
  history(): readonly {
    readonly frame: FrameNumber;
    readonly grid: GridMeasurement;
    readonly camera: CameraFit | null;
  }[] {
    const frames = this.settledFrames();
    return this.kept.flatMap(({ grid, against }, i) =>
      against === undefined ? [{ frame: frames[i].frame, grid, camera: frames[i].camera }] : [],
    );
  }

  /** Where a frame may differ from the reference: parts that have moved, there and here, and the edges of all others. */
  private changesOnPurpose(frame: FrameNumber): (x: number, y: number) => boolean {
    const reference = this.frames[0]?.frame ?? frame;
    const moved: (Bounded & { readonly reach: number })[] = [];
    const held: Bounded[] = [];
    for (const { part, path, moves } of this.parts) {
      const intent = intentAt(part, frame)?.intent ?? "holds";
      const may = moves.includes(true) || intent !== "holds" || part.intents.some((one) => one.intent !== "holds");
      for (const at of [reference, frame]) {
        const shape = path.shapes.get(at) ?? path.shapeNear(at);
        const reach = reachOf(shape.outline, part.kind === "found" ? MOST_REACH_FOUND : MOST_REACH);
        if (may) moved.push({ ...bounded(shape.outline, reach), reach });
        else held.push(bounded(shape.outline, BESIDE_EDGE));
      }
    }
    return (x, y) =>
      moved.some((one) => isWithin(one, x, y) && nearPolygon(one.outline, x, y, one.reach)) ||
      held.some((one) => isWithin(one, x, y) && nearEdge(one.outline, x, y, BESIDE_EDGE));
  }

  /** Things that were not there before. Nothing where something moves again and again, which without a sheet is animation. */
  strayThings(): StrayThing[] {
    const { cells } = this;
    return this.strays.things((x, y) => cells?.isRestless(x, y) ?? false);
  }

  private hasMoved(motion: RegionMotion | null, pair: GridMeasurement): boolean {
    if (motion === null) return false;
    const whole = pairShift(pair);
    const dx = motion.dx - whole.dx;
    const dy = motion.dy - whole.dy;
    const z = Math.hypot(dx / Math.sqrt(motion.varX), dy / Math.sqrt(motion.varY));
    return Math.hypot(dx, dy) > MOVES_PX && z > MOVES_Z;
  }

  /** What the camera alone did to a held part's outline since the frame before; null where it stood still. */
  private cameraMotion(from: CameraFit | null, to: CameraFit | null, shape: Shape | undefined): RegionMotion | null {
    if (from === null || to === null || shape === undefined) return null;
    const [x, y] = shape.outline[0];
    const step = cameraStep(from, to, x, y, this.width, this.height);
    // Below this the outline as drawn is coarser than the camera's own noise.
    if (Math.hypot(step.dx, step.dy) < 0.1) return null;
    return {
      x,
      y,
      dx: step.dx,
      dy: step.dy,
      turn: step.turn,
      scale: to.scale / from.scale,
      varX: step.varX,
      varY: step.varY,
      covXY: 0,
      varTurn: step.varTurn,
      leftOver: 0,
      measured: 1,
    };
  }
}
