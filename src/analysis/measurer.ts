import {
  type GridReference,
  gridReference,
  type GridLayout,
  type GridResult,
  measureGrid,
  measurePair,
  type Whereabouts,
} from "../measure/grid.ts";
import { gridZoom } from "../measure/grid-zoom.ts";
import { similarityAt } from "../measure/similarity.ts";
import { type Carry, carryOf } from "../measure/carry.ts";
import { bestTemplate, type ChosenTemplate } from "../measure/choose-prefilter.ts";
import { type ChangedBlocks, changedBlocks } from "../measure/changed-blocks.ts";
import { type PairNoise, pairNoise } from "../measure/pair-noise.ts";
import { noiseScale } from "../measure/noise-scale.ts";
import { type PartMotion, UNEVEN } from "../measure/part-motion.ts";
import { PartRegistrar } from "../measure/part-register.ts";
import { measureNodes } from "../measure/left-over.ts";
import { averagedTemplate } from "../measure/part-template.ts";
import type { Plane } from "../measure/plane.ts";
import {
  PREFILTER_SIGMA,
  prepareFrame,
  type PreparedFrame,
  releaseFrame,
  releaseGradient,
  withGradient,
} from "../measure/prepared.ts";
import { SubsetSolver } from "../measure/subset.ts";
import { heapWorkspace, type Workspace } from "../measure/workspace.ts";
import type {
  Answer,
  Channel,
  FrameFile,
  FrameHeader,
  FrameOutcome,
  HoldPlan,
  InjectedMeasurement,
  LeftOverPlan,
  LeftOverStep,
  MeasurePlan,
  MeasureWorker,
  PlannedCamera,
  Survey,
  Task,
} from "./contract.ts";
import { analysisPx, type FrameNumber, radians } from "../units/index.ts";
import { between } from "./camera-chain.ts";
import { FrameCache } from "./frame-cache.ts";
import { injectedPlane } from "./proof/injected-plane.ts";
import type { FrameMeasurement, GridMeasurement, LeftOverMeasurement, PartMeasurement } from "./measurement.ts";

/** Distance of the background grid's cells and of the finer one for what is animated, px of the analysed frame. */
export const GRID_STEP = 32;
export const PAIR_STEP = 16;

export interface ColourChoice {
  /** The channel to give. */
  readonly channel: Channel;
  /** Called with the channel that this frame would be best measured on. */
  readonly onBest?: (channel: Channel) => void;
}

/** How frames are opened where this runs: the page and the command line each bring their own. */
export interface Opener {
  header(file: FrameFile): Promise<FrameHeader | { readonly problem: string }>;
  /**
   * Reduced luma in linear light, 0 to 1, at most `analysisWidth` wide, or one colour channel in its place. `place` makes
   * the plane, else it lies on the heap.
   */
  luma(
    file: FrameFile,
    analysisWidth: number,
    place?: Workspace["plane"],
    colour?: ColourChoice,
  ): Promise<Plane | { readonly problem: string }>;
}

interface HoldTemplate {
  readonly template: ChosenTemplate | null;
  readonly reason: string;
  /** What most of the picture did at the anchor against the shot's reference: zero of the seeds. */
  readonly shift: Shift;
}

/** Everything that belongs to one plan; a new plan starts afresh. */
interface Session {
  readonly plan: MeasurePlan;
  readonly cache: FrameCache;
  readonly holds: ReadonlyMap<string, HoldPlan>;
  readonly templates: Map<string, HoldTemplate>;
  /** Steps of the files whose headers were asked. */
  readonly steps: Map<FrameNumber, number | null | undefined>;
  reference: GridReference | null;
  /** The channel that the reference is best measured on, once it was opened. */
  readonly best: { channel: Channel };
}

function toMeasurement(reference: GridReference, result: GridResult, against: FrameNumber): GridMeasurement {
  const { cols, rows, originX, originY, step } = reference.layout;
  return {
    against,
    cols,
    rows,
    originX: analysisPx(originX),
    originY: analysisPx(originY),
    step: analysisPx(step),
    ...result,
  };
}

/** Where the picture as a whole went, px, and how much larger it got. */
interface Shift {
  readonly dx: number;
  readonly dy: number;
  readonly zoom: number;
}
const NO_SHIFT: Shift = { dx: 0, dy: 0, zoom: 1 };

/** Median shift of the cells that were found: where the picture as a whole went, px. */
function typicalShift(layout: GridLayout, result: GridResult): Shift {
  const xs: number[] = [];
  const ys: number[] = [];
  for (let i = 0; i < result.valid.length; i++) {
    if (result.valid[i] !== 1) continue;
    xs.push(result.dx[i]);
    ys.push(result.dy[i]);
  }
  if (xs.length < 4) return NO_SHIFT;
  const middle = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1];
  return { dx: middle(xs), dy: middle(ys), zoom: gridZoom(layout, result) };
}

/** The steps of a task's surfaces in one frame. */
const leftOverSteps = (plan: MeasurePlan, task: Task & { kind: "measure" }, frame: FrameNumber): LeftOverStep[] =>
  (plan.leftOvers ?? [])
    .filter(({ id }) => task.leftOvers?.includes(id))
    .flatMap(({ steps }) => steps.filter((step) => step.frame === frame));

/** What a held surface did by the measurement of its hold in the same frame; null where there is none. */
function seedOf(
  plan: LeftOverPlan,
  parts: readonly PartMeasurement[],
  holds: ReadonlyMap<string, HoldPlan>,
): Carry | null {
  const part = parts.find((one) => one.part === plan.part && one.anchor === plan.anchor);
  const hold = [...holds.values()].find((one) => one.part === plan.part && one.anchor === plan.anchor);
  if (part === undefined || hold === undefined || !Number.isFinite(part.dx)) return null;
  return carryOf(hold.centroid[0], hold.centroid[1], part.dx, part.dy, part.turn);
}

/**
 * A measuring worker: decodes frames, measures grid, pairs and held parts. Each frame's result depends on that frame,
 * the reference, the frame before and the anchors alone, never on the order or on the number of workers.
 * @param workspace where frames are measured: with the kernels or, without, by their TypeScript twins
 */
export function createMeasurer(opener: Opener, workspace: Workspace = heapWorkspace): MeasureWorker {
  const solver = new SubsetSolver();
  const registrar = new PartRegistrar();
  const nodeSolvers = new Map<number, SubsetSolver>();
  const nodeSolver = (size: number): SubsetSolver => {
    const known = nodeSolvers.get(size) ?? new SubsetSolver(size);
    nodeSolvers.set(size, known);
    return known;
  };
  let session: Session | null = null;

  const reference = async (s: Session): Promise<GridReference | { problem: string }> => {
    if (s.reference !== null) return s.reference;
    s.cache.keep(s.plan.reference);
    const prepared = await s.cache.get(s.plan.reference);
    if ("problem" in prepared) return prepared;
    s.reference = gridReference(withGradient(prepared.frame), GRID_STEP);
    return s.reference;
  };

  /** The frame that the plan has this one's grid measured against, where that isn't the shot's reference. */
  const nearReference = async (s: Session, near: FrameNumber): Promise<GridReference | { problem: string }> => {
    if (near === s.plan.reference) return reference(s);
    const prepared = await s.cache.get(near);
    return "problem" in prepared ? prepared : gridReference(withGradient(prepared.frame), GRID_STEP);
  };

  const cameraOf = (s: Session, frame: FrameNumber): PlannedCamera | null =>
    s.plan.cameras?.find((camera) => camera.frame === frame) ?? null;

  /** Where the camera alone puts what is at a place of one frame in another, roughly. */
  const whereabouts = (s: Session, from: PlannedCamera, to: PlannedCamera): Whereabouts => {
    const pose = between(from, to);
    return (x, y) => similarityAt(pose, s.plan.width / 2, s.plan.height / 2, x, y);
  };

  const template = async (s: Session, hold: HoldPlan): Promise<HoldTemplate> => {
    const known = s.templates.get(hold.id);
    if (known !== undefined) return known;
    const made = await s.cache.while(hold.templateFrames, () => buildTemplate(s, hold));
    s.templates.set(hold.id, made);
    return made;
  };

  /** How coarsely a frame's file was rounded; undefined where its header doesn't say. */
  const lumaStepOf = async (s: Session, frame: FrameNumber): Promise<number | null | undefined> => {
    if (s.steps.has(frame)) return s.steps.get(frame);
    const file = s.plan.frames.find((one) => one.frame === frame);
    const header = file === undefined ? null : await opener.header(file);
    const step = header === null || "problem" in header ? undefined : header.lumaStep;
    s.steps.set(frame, step);
    return step;
  };

  const buildTemplate = async (s: Session, hold: HoldPlan): Promise<HoldTemplate> => {
    const none = (reason: string): HoldTemplate => ({ template: null, reason, shift: NO_SHIFT });
    const anchor = await s.cache.get(hold.anchor);
    if ("problem" in anchor) return none(`its anchor, frame ${hold.anchor}, could not be read`);
    const others: PreparedFrame[] = [];
    for (const number of hold.templateFrames) {
      if (number === hold.anchor) continue;
      const other = await s.cache.get(number);
      if (!("problem" in other)) others.push(other.frame);
    }
    const first = bestTemplate(
      anchor.frame,
      others,
      hold.outline,
      hold.holes,
      hold.centroid,
      hold.templateFrames.length,
    );
    if (first === null) return none("too small in the picture to be measured");
    const ref = await reference(s);
    const shift =
      "problem" in ref || hold.anchor === s.plan.reference || cameraOf(s, hold.anchor) !== null
        ? NO_SHIFT
        : typicalShift(ref.layout, measureGrid(ref, anchor.frame, solver));
    const further: ({ readonly frame: PreparedFrame } & PartMotion)[] = [];
    for (const frame of others) {
      const motion = registrar.register(first, frame);
      // Only frames that show the whole part as it was lower the noise; others would bring their own faults in.
      // One that is told weakly lies off by less than what its texture could show.
      if (!Number.isFinite(motion.dx) || motion.trusted < 0.8 || Math.hypot(motion.dx, motion.dy) > 1) continue;
      if (motion.uneven > UNEVEN) continue;
      further.push({ frame, ...motion });
    }
    // What two registered frames differ by is noise, whatever the part did in between.
    const noise =
      first.noise === null ? null : Math.min(first.noise, ...further.map(({ residual }) => residual ** 2 / 2));
    const lumaStep = await lumaStepOf(s, hold.anchor);
    const averaged = averagedTemplate(first.template, further);
    return {
      template: { ...first, noise, ...(lumaStep === undefined ? {} : { lumaStep }), template: averaged },
      reason: "",
      shift,
    };
  };

  const measurePart = async (
    s: Session,
    hold: HoldPlan,
    number: FrameNumber,
    frame: PreparedFrame,
    shift: Shift,
  ): Promise<PartMeasurement> => {
    const anchor = await template(s, hold);
    const base = { part: hold.part, anchor: hold.anchor };
    const nan = Number.NaN;
    if (anchor.template === null)
      return {
        ...base,
        dx: analysisPx(nan),
        dy: analysisPx(nan),
        turn: radians(nan),
        covariance: [nan, nan, nan, nan, nan, nan],
        state: "lost",
        reason: anchor.reason,
        leftOver: analysisPx(nan),
      };
    const [from, to] = [cameraOf(s, hold.anchor), cameraOf(s, number)];
    const [seedX, seedY] =
      from === null || to === null
        ? [shift.dx - anchor.shift.dx, shift.dy - anchor.shift.dy]
        : whereabouts(s, from, to)(hold.centroid[0], hold.centroid[1]);
    const zoom = from === null || to === null ? shift.zoom / anchor.shift.zoom : to.scale / from.scale;
    const far = Math.hypot(seedX, seedY) > 1;
    const motion = registrar.register(anchor.template, frame, far ? seedX : 0, far ? seedY : 0, zoom);
    return {
      ...base,
      dx: analysisPx(motion.dx),
      dy: analysisPx(motion.dy),
      turn: radians(motion.turn),
      covariance: motion.covariance,
      state: motion.state,
      reason: motion.reason,
      leftOver: analysisPx(motion.leftOver),
      ...(Number.isFinite(motion.trusted) ? { shown: motion.trusted } : {}),
      ...(motion.rival === undefined ? {} : { rival: motion.rival }),
    };
  };

  /** The frame before this one in the shot, if there is one. */
  const before = (s: Session, frame: FrameNumber): FrameNumber[] => {
    const numbers = s.plan.frames.map((file) => file.frame);
    const at = numbers.indexOf(frame);
    return at > 0 ? [numbers[at - 1]] : [];
  };

  /** The nearest frame before this one that can be read; null where there is none. */
  const readableBefore = async (
    s: Session,
    frame: FrameNumber,
  ): Promise<{ number: FrameNumber; frame: PreparedFrame } | null> => {
    const numbers = s.plan.frames.map((file) => file.frame);
    for (let i = numbers.indexOf(frame) - 1; i >= 0; i--) {
      const prepared = await s.cache.get(numbers[i]);
      if (!("problem" in prepared)) return { number: numbers[i], frame: prepared.frame };
    }
    return null;
  };

  /** The background grid is asked for, or seeds what is measured. */
  const needsGrid = (s: Session, task: Task & { kind: "measure" }, number: FrameNumber): boolean => {
    const hasHold = task.holds.some((id) => {
      const hold = s.holds.get(id);
      return hold !== undefined && number >= hold.from && number <= hold.to;
    });
    return task.grids || hasHold || leftOverSteps(s.plan, task, number).some((step) => step.motion === null);
  };

  const measure = async (s: Session, task: Task & { kind: "measure" }, number: FrameNumber): Promise<FrameOutcome> => {
    const ref = await reference(s);
    if ("problem" in ref) return { kind: "failed", frame: number, reason: ref.problem };
    const previous = task.grids && task.pairs !== false ? await readableBefore(s, number) : null;
    const current = await s.cache.get(number);
    if ("problem" in current) return { kind: "failed", frame: number, reason: current.problem };
    const camera = cameraOf(s, number);
    let gridResult: GridResult | null = null;
    let grid: GridMeasurement | null = null;
    if (camera !== null && task.grids) {
      const near = await nearReference(s, camera.against);
      if ("problem" in near) return { kind: "failed", frame: number, reason: near.problem };
      const from = cameraOf(s, camera.against);
      gridResult = measureGrid(near, current.frame, solver, from === null ? null : whereabouts(s, from, camera));
      grid = toMeasurement(near, gridResult, camera.against);
    } else if (camera === null && needsGrid(s, task, number)) {
      // Where the camera is known already, holds need no grid to be found by.
      gridResult = measureGrid(ref, current.frame, solver);
      if (task.grids) grid = toMeasurement(ref, gridResult, s.plan.reference);
    }
    let pair: GridMeasurement | null = null;
    let noise: PairNoise | null = null;
    let changed: ChangedBlocks | null = null;
    if (previous !== null && gridResult !== null) {
      const pairReference = gridReference(withGradient(previous.frame), PAIR_STEP);
      pair = toMeasurement(
        pairReference,
        measurePair(pairReference, current.frame, solver, { layout: ref.layout, result: gridResult }),
        previous.number,
      );
      // Under a camera that moves on purpose everything differs from the reference.
      if (camera === null) changed = changedBlocks(ref, current.frame, gridResult);
      noise = pairNoise(previous.frame, current.frame, ref.layout, gridResult.residual);
      if (previous.number !== s.plan.reference) releaseGradient(previous.frame);
    }
    const parts: PartMeasurement[] = [];
    const shift = gridResult === null ? NO_SHIFT : typicalShift(ref.layout, gridResult);
    for (const id of task.holds) {
      const hold = s.holds.get(id);
      if (hold === undefined || number < hold.from || number > hold.to) continue;
      if (hold.only !== undefined && !hold.only.includes(number)) continue;
      parts.push(await measurePart(s, hold, number, current.frame, shift));
    }
    const leftOvers: LeftOverMeasurement[] = [];
    for (const id of task.leftOvers ?? []) {
      const plan = s.plan.leftOvers?.find((one) => one.id === id);
      const step = plan?.steps.find((one) => one.frame === number);
      if (plan === undefined || step === undefined) continue;
      const against = await s.cache.get(step.against);
      if ("problem" in against) continue;
      const motion = step.motion ?? seedOf(plan, parts, s.holds) ?? carryOf(0, 0, shift.dx, shift.dy, 0);
      const from = withGradient(against.frame);
      const values = plan.nodes.map(({ size, places }) =>
        measureNodes(from, current.frame, nodeSolver(size), places, step.place, motion, plan.held),
      );
      leftOvers.push({ plan: id, against: step.against, values });
    }
    const measurement: FrameMeasurement = {
      frame: number,
      grid,
      pair,
      parts,
      leftOvers,
      ...(noise === null ? {} : { pairNoise: noise }),
      ...(changed === null ? {} : { changed }),
    };
    const survey = task.survey !== undefined && number === task.frames[0] ? await surveyOf(s, task.survey) : null;
    return { kind: "measured", frame: number, measurement, ...(survey === null ? {} : { survey }) };
  };

  const surveyOf = async (s: Session, frames: readonly FrameNumber[]): Promise<Survey> => {
    const channel = s.plan.channel ?? s.best.channel;
    if (channel !== (s.plan.channel ?? "luma")) return { channel, noise: null };
    return s.cache.while(frames, async () => {
      const planes: Plane[] = [];
      for (const frame of frames) {
        const prepared = await s.cache.get(frame);
        if (!("problem" in prepared)) planes.push(prepared.frame.linear);
      }
      return { channel, noise: noiseScale(planes) };
    });
  };

  /** The frame with each injection in turn: from there on all is measured as in any other frame. */
  const prove = async (s: Session, task: Task & { kind: "prove" }, number: FrameNumber): Promise<FrameOutcome> => {
    const ref = await reference(s);
    if ("problem" in ref) return { kind: "failed", frame: number, reason: ref.problem };
    const current = await s.cache.get(number);
    if ("problem" in current) return { kind: "failed", frame: number, reason: current.problem };
    const runs: InjectedMeasurement[] = [];
    for (const injection of task.injections) {
      const { plane, holds } = injectedPlane(current.frame.linear, workspace, injection, s.holds, number);
      if (holds.length === 0) {
        workspace.release(plane);
        continue;
      }
      const frame = prepareFrame(plane, PREFILTER_SIGMA, workspace, s.plan.curve ?? null);
      try {
        const grid = measureGrid(ref, frame, solver);
        const shift = typicalShift(ref.layout, grid);
        const parts: PartMeasurement[] = [];
        for (const hold of holds) parts.push(await measurePart(s, hold, number, frame, shift));
        runs.push({ injection: injection.id, grid: toMeasurement(ref, grid, s.plan.reference), parts });
      } finally {
        releaseFrame(frame);
      }
    }
    return { kind: "proved", frame: number, runs };
  };

  const inspect = async (file: FrameFile): Promise<FrameOutcome> => {
    const header = await opener.header(file);
    return "problem" in header
      ? { kind: "failed", frame: file.frame, reason: header.problem }
      : { kind: "header", frame: file.frame, header };
  };

  return {
    plan(plan: MeasurePlan): Promise<Answer<null>> {
      // Decoded frames, templates and reference stay good as long as the frames and the holds are the same.
      const old = session;
      const files = new Map(plan.frames.map((file) => [file.frame, file] as const));
      const same =
        old !== null &&
        old.plan.analysisWidth === plan.analysisWidth &&
        old.plan.reference === plan.reference &&
        old.plan.channel === plan.channel &&
        old.plan.curve?.join() === plan.curve?.join() &&
        old.plan.frames.length === plan.frames.length &&
        old.plan.frames.every((file, i) => file.frame === plan.frames[i].frame && file.file === plan.frames[i].file);
      if (!same) old?.cache.close();
      const best = same ? old.best : { channel: plan.channel ?? ("luma" as const) };
      const luma: Opener["luma"] = (file, analysisWidth, place) =>
        opener.luma(file, analysisWidth, place, {
          channel: plan.channel ?? "luma",
          ...(file.frame === plan.reference ? { onBest: (channel) => (best.channel = channel) } : {}),
        });
      session = {
        plan,
        cache: same ? old.cache : new FrameCache(luma, files, plan.analysisWidth, workspace, plan.curve ?? null),
        holds: new Map(plan.holds.map((hold) => [hold.id, hold] as const)),
        templates: new Map(),
        steps: new Map(),
        reference: same ? old.reference : null,
        best,
      };
      return Promise.resolve({ ok: true, value: null });
    },

    async run(task: Task, onOutcome: (outcome: FrameOutcome) => void): Promise<Answer<null>> {
      if (task.kind === "inspect") {
        for (const file of task.frames) onOutcome(await inspect(file));
        return { ok: true, value: null };
      }
      if (session === null || session.plan.revision !== task.revision)
        return { ok: false, code: "internal", detail: "the worker was given frames before their plan" };
      const current = session;
      for (const number of task.frames) {
        const used = [
          current.plan.reference,
          ...(task.kind === "measure" && task.grids && task.pairs !== false ? before(current, number) : []),
          ...(cameraOf(current, number) === null ? [] : [cameraOf(current, number)!.against]),
          ...(task.kind === "measure" ? leftOverSteps(current.plan, task, number).map(({ against }) => against) : []),
          number,
        ];
        onOutcome(
          await current.cache.while(used, () =>
            task.kind === "prove" ? prove(current, task, number) : measure(current, task, number),
          ),
        );
      }
      return { ok: true, value: null };
    },
  };
}
