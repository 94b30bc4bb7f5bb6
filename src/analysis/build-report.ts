import {
  cameraIntentAt,
  type Part,
  type Report,
  REPORT_FORMAT,
  REPORT_VERSION,
  type ReportFrame,
  type ReportPart,
  type Sheet,
  type Track,
  type Warning,
} from "../model/index.ts";
import type { CheckJob, Survey } from "./contract.ts";
import { type FrameNumber, px, type Px, radians, seconds, stops } from "../units/index.ts";
import { type Covariance, plus, stretched, worstSigma } from "./covariance.ts";
import { judge } from "./judge.ts";
import { copiedFrames } from "./kinds/evidence/same-exposure.ts";
import { type SurfaceEvidence, surfaceEvidence } from "./kinds/evidence/surface-evidence.ts";
import { pxBandKeys, shareBandKeys } from "./kinds/index.ts";
import type { FrameRow, Hold, JudgeInput, LeftOverSeries, Stray } from "./series.ts";
import { crawlKey, crawlOf, surfacesOf } from "./report-surfaces.ts";
import type { StrayThing } from "./strays.ts";
import type { ShotSetup } from "./shot-setup.ts";
import type { SegmentSeries } from "./segment-series.ts";
import type { AnalysedFrame } from "./shot-tracker.ts";
import { VERSION } from "./version.ts";

/** Floor of a track: this many sigmas could have been seen. */
export const FLOOR_SIGMAS = 3;

const orNull = <T extends number>(value: T): T | null => (Number.isFinite(value) ? value : null);

interface Scale {
  readonly x: number;
  readonly y: number;
}

function trackOf(
  series: SegmentSeries,
  row: SegmentSeries["rows"][number],
  scale: Scale,
  crawled: ReadonlyMap<string, Px>,
): Track {
  const total = stretched(plus(row.covariance, series.anchorCovariance), scale.x, scale.y);
  const sigmaX = Math.sqrt(total[0]);
  const sigmaY = Math.sqrt(total[3]);
  return {
    part: series.segment.part.id,
    frame: row.frame,
    anchor: row.anchor,
    dx: orNull(px(row.dx * scale.x)),
    dy: orNull(px(row.dy * scale.y)),
    turn: orNull(radians(row.turn)),
    sigmaDx: orNull(px(sigmaX)),
    sigmaDy: orNull(px(sigmaY)),
    rho: orNull(Math.max(-1, Math.min(1, total[1] / (sigmaX * sigmaY)))),
    sigmaTurn: orNull(radians(Math.sqrt(total[5]))),
    rawDx: orNull(px(row.rawDx * scale.x)),
    rawDy: orNull(px(row.rawDy * scale.y)),
    crawlPx: crawled.get(crawlKey(series.segment.part.id, row.frame)) ?? orNull(px(row.leftOver * scale.x)),
    state: row.state,
    reason: row.reason,
    floorPx: orNull(px(FLOOR_SIGMAS * worstSigma(total))),
  };
}

function holdOf(series: SegmentSeries, scale: Scale): Hold {
  const point = ([x, y]: readonly [number, number]): readonly [number, number] => [x * scale.x, y * scale.y];
  const nan = Number.NaN;
  const none: Covariance = [nan, nan, nan, nan, nan, nan];
  return {
    part: series.segment.part,
    intent: series.segment.intent,
    anchor: series.anchor,
    templateFrames: series.templateFrames,
    anchorCovariance: stretched(series.anchorCovariance, scale.x, scale.y),
    outline: series.shape.outline.map(point),
    centroid: point(series.centroid),
    joints: series.joints.map((joint) => ({ id: joint.id, name: joint.name, at: point(joint.at) })),
    // Where a piece starts from an earlier wearing, its seating is judged apart from what it does while it is worn.
    afterMove: series.segment.afterMove || series.worn?.firstTime === false,
    ...(series.worn === undefined ? {} : { worn: series.worn }),
    ...(series.reset === undefined
      ? {}
      : {
          reset: {
            ...series.reset,
            dx: px(series.reset.dx * scale.x),
            dy: px(series.reset.dy * scale.y),
            turn: radians(series.reset.turn),
            covariance: stretched(series.reset.covariance, scale.x, scale.y),
          },
        }),
    rows: series.rows.map((row) => {
      const usable = row.state === "ok" || row.state === "weak";
      const covariance = usable ? stretched(row.covariance, scale.x, scale.y) : none;
      return {
        frame: row.frame,
        dx: px(usable ? row.dx * scale.x : nan),
        dy: px(usable ? row.dy * scale.y : nan),
        turn: radians(usable ? row.turn : nan),
        covariance,
        rawDx: px(row.rawDx * scale.x),
        rawDy: px(row.rawDy * scale.y),
        crawlPx: px(row.leftOver * scale.x),
        floorPx: px(
          FLOOR_SIGMAS * worstSigma(stretched(plus(row.covariance, series.anchorCovariance), scale.x, scale.y)),
        ),
        state: row.state,
        reason: row.reason,
      };
    }),
  };
}

const sigmaOfCamera = (frame: AnalysedFrame, scale: Scale): Px => {
  const c = frame.camera!.covariance;
  return px(Math.sqrt(Math.max(c[0] * scale.x * scale.x, c[5] * scale.y * scale.y)));
};

function frameRows(frames: readonly AnalysedFrame[], setup: ShotSetup, scale: Scale): FrameRow[] {
  const clocks = new Map(setup.times.times.map((time) => [time.frame, time.clock] as const));
  return frames.map((frame) => {
    const clock = clocks.get(frame.frame) ?? null;
    return {
      frame: frame.frame,
      clock: clock === null ? null : seconds(clock),
      camera:
        frame.camera === null
          ? null
          : {
              dx: px(frame.camera.dx * scale.x),
              dy: px(frame.camera.dy * scale.y),
              turn: radians(frame.camera.turn),
              scale: frame.camera.scale,
              sigma: sigmaOfCamera(frame, scale),
              sigmaTurn: radians(Math.sqrt(frame.camera.covariance[10])),
            },
      lightStops: stops(frame.light?.stops ?? Number.NaN),
      lightShape: frame.light?.shape ?? [],
      ...(frame.pairNoise === undefined ? {} : { pairNoise: frame.pairNoise }),
      ...(frame.focus === undefined ? {} : { focus: frame.focus }),
    };
  });
}

/** Stretches in which the camera is meant to hold, and to move; nothing where it holds throughout. */
function cameraStretches(
  sheet: Sheet,
  frames: readonly AnalysedFrame[],
): Pick<JudgeInput, "cameraHolds" | "cameraMoves"> {
  if (!sheet.camera.some(({ intent }) => intent === "moves")) return {};
  const stretches: { intent: string; from: FrameNumber; to: FrameNumber }[] = [];
  for (const { frame } of frames) {
    const intent = cameraIntentAt(sheet, frame);
    const open = stretches.at(-1);
    if (open?.intent === intent) open.to = frame;
    else stretches.push({ intent, from: frame, to: frame });
  }
  return {
    cameraHolds: stretches.filter(({ intent }) => intent === "holds"),
    cameraMoves: stretches.filter(({ intent }) => intent === "moves"),
  };
}

/** A band set for the whole check replaces every band in px, the sheet's too; those in percent have one of their own. */
function bandsOf({ bandPx, bandShare }: CheckJob): Readonly<Record<string, number>> {
  return Object.fromEntries([
    ...(bandPx === null ? [] : pxBandKeys.map((key) => [key, bandPx] as const)),
    ...(bandShare === undefined ? [] : shareBandKeys.map((key) => [key, bandShare] as const)),
  ]);
}

const scaleOf = (setup: ShotSetup): Scale => ({
  x: setup.width / setup.analysisWidth,
  y: setup.height / setup.analysisHeight,
});

/** What is judged, in px of the original frame. */
export function judgeInput(
  job: CheckJob,
  setup: ShotSetup,
  frames: readonly AnalysedFrame[],
  parts: readonly Part[],
  series: readonly SegmentSeries[],
  leftOvers: readonly LeftOverSeries[] = [],
  outside: ReadonlySet<string> = new Set(),
): JudgeInput {
  const scale = scaleOf(setup);
  const { sheet } = setup;
  return {
    frames: frameRows(frames, setup, scale),
    holds: series.filter((one) => one.templateFrames.length > 0).map((one) => holdOf(one, scale)),
    leftOvers,
    moving: series.filter(({ segment }) => segment.intent === "moves").map((one) => holdOf(one, scale)),
    parts,
    outside,
    width: px(setup.width),
    height: px(setup.height),
    down: sheet.down,
    downIntoPicture: sheet.downIntoPicture,
    pxPerMm: sheet.scale?.pxPerMm ?? null,
    bands: bandsOf(job),
    marks: sheet.marks,
    ...cameraStretches(sheet, frames),
  };
}

/** White in the unit that noise is told in, DN of 16-bit linear light. */
const WHITE_DN = 65535;

const surveyed = ({ channel, noise }: Survey): Pick<Report["made"], "channel" | "noise"> => ({
  channel,
  ...(noise === null
    ? {}
    : {
        noise: {
          scale: noise.curve === null ? "srgb" : "shot",
          reason: noise.reason,
          gain: noise.fit === null ? null : noise.fit.gain * WHITE_DN,
          dark: noise.fit === null ? null : noise.fit.dark * WHITE_DN,
          steps: noise.fit?.steps ?? null,
        },
      }),
});

const strayOf = ({ from, to, diameter, sigma, outline, z }: StrayThing, { x, y }: Scale): Stray => ({
  from,
  to,
  diameter: px(diameter * x),
  sigma: px(sigma * x),
  outline: outline.map(([u, v]) => [u * x, v * y] as const),
  z,
});

/** The report of a shot, whole or as far as it goes. */
export function buildReport(
  job: CheckJob,
  setup: ShotSetup,
  frames: readonly AnalysedFrame[],
  parts: readonly Part[],
  series: readonly SegmentSeries[],
  warnings: readonly Warning[],
  survey: Survey | null = null,
  leftOvers: readonly LeftOverSeries[] = [],
  strays: readonly StrayThing[] = [],
  outside: ReadonlySet<string> = new Set(),
  surfaces: SurfaceEvidence = surfaceEvidence({ leftOvers }),
): Report {
  const scale = scaleOf(setup);
  const { sheet } = setup;
  const input = {
    ...judgeInput(job, setup, frames, parts, series, leftOvers, outside),
    strays: strays.map((one) => strayOf(one, scale)),
  };
  const rows = input.frames;
  const judgement = judge(input, surfaces);
  const times = new Map(setup.times.times.map((time) => [time.frame, time.time] as const));
  const files = new Map(setup.files.map((file) => [file.frame, file.file] as const));
  const first = new Map<string, SegmentSeries>();
  for (const one of series) if (!first.has(one.segment.part.id)) first.set(one.segment.part.id, one);
  const drawn = parts.filter(({ id }) => !outside.has(id));
  const reportParts: ReportPart[] = drawn.map((part) => {
    const shape = first.get(part.id)?.shape;
    const scaled = (ring: readonly (readonly [number, number])[]): [Px, Px][] =>
      ring.map(([x, y]) => [px(x * scale.x), px(y * scale.y)]);
    return {
      id: part.id,
      name: part.name,
      kind: part.kind,
      puppet: part.puppet,
      copy: part.copy,
      build: part.build,
      carrier: part.carrier,
      intents: part.intents,
      outline: shape === undefined ? part.outlines[0].points : scaled(shape.outline),
      holes: shape === undefined ? part.outlines[0].holes : shape.holes.map(scaled),
    };
  });
  const reportFrames: ReportFrame[] = rows.map((row) => ({
    frame: row.frame,
    file: files.get(row.frame) ?? "",
    time: times.get(row.frame) ?? null,
    lightStops: orNull(row.lightStops),
    camera: row.camera,
    // Without scatter there was nothing to compare: two frames tell no sharpness.
    ...(row.focus === undefined || !(row.focus.sigma > 0)
      ? {}
      : { focus: { loss: row.focus.loss, sigma: row.focus.sigma } }),
  }));
  const crawled = crawlOf(leftOvers);
  const shown: FrameNumber[] = rows.map((row) => row.frame);
  return {
    format: REPORT_FORMAT,
    version: REPORT_VERSION,
    shot: {
      name: sheet.shot.name,
      fps: sheet.shot.fps,
      width: setup.width,
      height: setup.height,
      frames: shown,
      analysisWidth: setup.analysisWidth,
      folder: job.folder,
      cut: sheet.shot.cut,
      timecodeStart: sheet.shot.timecodeStart,
      pass: sheet.shot.pass,
      pxPerMm: sheet.scale?.pxPerMm ?? null,
    },
    made: {
      holdfast: VERSION,
      sheetSha256: job.sheetSha256,
      bands: judgement.bands,
      thresholds: judgement.thresholds,
      ...(survey === null ? {} : surveyed(survey)),
    },
    parts: reportParts,
    frames: reportFrames,
    tracks: series
      .filter(({ segment }) => !outside.has(segment.part.id))
      .flatMap((one) => one.rows.map((row) => trackOf(one, row, scale, crawled))),
    flags: judgement.flags,
    ...surfacesOf(leftOvers),
    warnings: [...warnings, ...copiedFrames(input)],
    ...(judgement.corrections.length > 0 ? { corrections: judgement.corrections } : {}),
    ...(judgement.breaks === undefined ? {} : { breaks: judgement.breaks }),
    ...(judgement.watched === undefined ? {} : { watched: judgement.watched }),
  };
}
