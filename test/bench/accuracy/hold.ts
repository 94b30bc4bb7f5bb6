import { createMeasurer, type Opener } from "../../../src/analysis/measurer.ts";
import type { CameraFit } from "../../../src/analysis/camera.ts";
import type { HoldPlan, MeasureWorker } from "../../../src/analysis/contract.ts";
import { plus } from "../../../src/analysis/covariance.ts";
import type { PartMeasurement } from "../../../src/analysis/measurement.ts";
import { PartPath } from "../../../src/analysis/part-path.ts";
import { allSegments, holdPlan, shotSeries } from "../../../src/analysis/shot-series.ts";
import { type AnalysedPart, ShotTracker } from "../../../src/analysis/shot-tracker.ts";
import type { Plane } from "../../../src/measure/plane.ts";
import { createPart, createSheet } from "../../../src/model/index.ts";
import { type FrameNumber, frameNumber, px } from "../../../src/units/index.ts";
import { openWorkspace } from "../../../workers/kernels.ts";
import type { Point } from "../../support/similarity.ts";

// A held part measured as a check does it: its segment, its hold, a measurer on the kernels, the camera taken out, the
// series with its sigmas. Only the camera is not fitted: it stands still and is known to. What the fit of the camera
// is worth has cells of its own.

/** One frame of a hold as the report states it. */
export interface HeldFrame {
  readonly frame: number;
  readonly dx: number;
  readonly dy: number;
  /** Variance and covariance of (dx, dy), the anchor's own error included, px squared. */
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
  readonly state: string;
}

export interface HoldMeasurer {
  /**
   * All frames but the anchor, which is the first plane.
   * @param lumaStep what their files' headers say of how they were rounded: null where they were not
   */
  measure(planes: readonly Plane[], outline: readonly Point[], lumaStep: number | null): Promise<HeldFrame[]>;
}

const STILL: CameraFit = { dx: 0, dy: 0, turn: 0, scale: 1, covariance: new Float64Array(16) };

export async function createHoldMeasurer(): Promise<HoldMeasurer> {
  const opened = new Map<string, Plane>();
  let step: number | null = null;
  const opener: Opener = {
    header: ({ frame, file }) => {
      const plane = opened.get(file);
      if (plane === undefined) return Promise.resolve({ problem: `no ${file}` });
      const { width, height } = plane;
      return Promise.resolve({ frame, width, height, exifTime: null, note: null, lumaStep: step });
    },
    luma: ({ file }) => Promise.resolve(opened.get(file) ?? { problem: `no ${file}` }),
  };
  const measurer: MeasureWorker = createMeasurer(opener, await openWorkspace());
  let revision = 0;
  return {
    async measure(planes, outline, lumaStep) {
      revision++;
      step = lumaStep;
      const { width, height } = planes[0];
      const frames = planes.map((_, i) => frameNumber(i + 1));
      opened.clear();
      const files = planes.map((plane, i) => {
        const file = `hold-${revision}-${i + 1}`;
        opened.set(file, plane);
        return { frame: frames[i], file, modified: null, source: null };
      });
      const shape = { outline, holes: [] };
      const part = createPart({
        id: "held",
        name: "Left arm",
        kind: "limb",
        outlines: [{ frame: frames[0], points: outline.map(([x, y]) => [px(x), px(y)] as const), holes: [] }],
        intents: [{ from: frames[0], to: frames[frames.length - 1], intent: "holds", wears: null }],
      });
      const analysed: AnalysedPart = {
        part,
        path: new PartPath([{ frame: frames[0], ...shape }]),
        moves: frames.map(() => false),
        joints: [],
      };
      const segments = allSegments([analysed], frames, []);
      const hold = holdPlan(segments.get("held")![0], shape);
      const measured = await measuredFrames(measurer, hold, { revision, files, width, height, frames });
      const series = shotSeries(
        {
          tracker: new ShotTracker([], width, height),
          parts: [analysed],
          sheet: createSheet("hive_010", [part]),
          width,
          height,
          cameras: new Map(frames.map((frame) => [frame, STILL] as const)),
          holds: new Map([[hold.id, hold] as const]),
          measured: new Map([[hold.id, measured] as const]),
        },
        segments,
      );
      return series.flatMap(({ rows, anchorCovariance }) =>
        rows.map(({ frame, dx, dy, covariance, state }) => {
          const total = plus(covariance, anchorCovariance);
          return { frame, dx, dy, xx: total[0], xy: total[1], yy: total[3], state };
        }),
      );
    },
  };
}

async function measuredFrames(
  measurer: MeasureWorker,
  hold: HoldPlan,
  shot: {
    readonly revision: number;
    readonly files: Parameters<MeasureWorker["plan"]>[0]["frames"];
    readonly width: number;
    readonly height: number;
    readonly frames: readonly FrameNumber[];
  },
): Promise<Map<FrameNumber, PartMeasurement>> {
  const { revision, files, width, height, frames } = shot;
  const plan = { revision, frames: files, width, height, analysisWidth: width, reference: frames[0], holds: [hold] };
  await measurer.plan(plan);
  const measured = new Map<FrameNumber, PartMeasurement>();
  const task = {
    id: "hold",
    kind: "measure",
    revision,
    frames: frames.slice(1),
    grids: false,
    holds: [hold.id],
  } as const;
  const done = await measurer.run(task, (outcome) => {
    if (outcome.kind === "failed") throw new Error(`frame ${outcome.frame}: ${outcome.reason}`);
    if (outcome.kind !== "measured") return;
    for (const one of outcome.measurement.parts) measured.set(outcome.frame, one);
  });
  if (!done.ok) throw new Error(done.detail);
  return measured;
}
