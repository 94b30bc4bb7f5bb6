import { carried, carryOf } from "../measure/carry.ts";
import { cameraStep } from "./camera.ts";
import type { KeptMeasurements } from "./kept-measurements.ts";
import type { LeftOverSurface } from "./left-over-plan.ts";
import { leftOverSeries, type SeedMotion } from "./left-over-series.ts";
import type { SeriesSource } from "./segment-series.ts";
import type { LeftOverSeries } from "./series.ts";
import type { ShotSetup } from "./shot-setup.ts";
import { holdId } from "./shot-series.ts";
import type { AnalysedPart, ShotTracker } from "./shot-tracker.ts";

// From what was kept of the measurements to what series are made of.

/** What the series of these parts are made of, as far as it was measured. */
export function seriesSource(
  parts: readonly AnalysedPart[],
  setup: ShotSetup,
  tracker: ShotTracker,
  { holds, measured }: KeptMeasurements,
): SeriesSource {
  const frames = tracker.settledFrames();
  return {
    tracker,
    parts,
    sheet: setup.sheet,
    width: setup.analysisWidth,
    height: setup.analysisHeight,
    cameras: new Map(frames.map((frame) => [frame.frame, frame.camera] as const)),
    holds,
    measured,
  };
}

/** What the surfaces did over what they ride on, as far as it was measured. */
export function surfaceSeries(
  surfaces: readonly LeftOverSurface[],
  parts: readonly AnalysedPart[],
  setup: ShotSetup,
  tracker: ShotTracker,
  kept: KeptMeasurements,
): LeftOverSeries[] {
  const { width, height, analysisWidth, analysisHeight } = setup;
  const [scaleX, scaleY] = [width / analysisWidth, height / analysisHeight];
  return surfaces.flatMap((surface) => {
    const rows = kept.leftOversOf(surface.plan.id);
    if (rows === undefined) return [];
    const seed = seedMotionOf(surface, setup, tracker, kept);
    return leftOverSeries(surface, rows, parts, tracker.numbers, scaleX, scaleY, seed);
  });
}

/** What the nodes of a held surface were sought by, beyond the camera: as the measurer knew it. */
function seedMotionOf(
  { plan }: LeftOverSurface,
  { analysisWidth, analysisHeight }: ShotSetup,
  tracker: ShotTracker,
  { holds, measured }: KeptMeasurements,
): SeedMotion {
  const cameras = new Map(tracker.frames.map(({ frame, camera }) => [frame, camera] as const));
  const id = holdId(plan.part, plan.anchor);
  const centroid = holds.get(id)?.centroid;
  return (step, x, y) => {
    const row = measured.get(id)?.get(step.frame);
    const own =
      row === undefined || centroid === undefined || !Number.isFinite(row.dx)
        ? null
        : carryOf(centroid[0], centroid[1], row.dx, row.dy, row.turn);
    const motion = step.motion ?? own;
    const [from, to] = [cameras.get(step.against) ?? null, cameras.get(step.frame) ?? null];
    if (motion === null || from === null || to === null) return null;
    const [toX, toY] = carried(motion, x, y);
    const camera = cameraStep(from, to, x, y, analysisWidth, analysisHeight);
    return [toX - x - camera.dx, toY - y - camera.dy];
  };
}
