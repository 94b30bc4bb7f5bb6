import { median } from "../measure/statistics/robust.ts";
import type { Report, ReportSurface } from "../model/index.ts";
import { type FrameNumber, px, type Px } from "../units/index.ts";
import type { LeftOverSeries } from "./series.ts";

// What the report tells of surfaces: how far their nodes went, and where nothing could have been seen.

const SHARE = 0.95;
/**
 * The smallest shift of a patch of 56 px that is flagged, in sigmas of one node and one pair of frames: 5.1 standard
 * errors of the pooled nodes, means of 4 frames on each side, and what the nodes average away of the patch.
 */
const FLOOR_SIGMAS = 2.5;
/** Share of a surface that may be bare before it is said. */
const BARE = 0.1;

export const crawlKey = (part: string, frame: FrameNumber): string => `${part}@${frame}`;

/** The series that tells how far each surface went: its carrier's own motion where that is known. */
function told(leftOvers: readonly LeftOverSeries[]): LeftOverSeries[] {
  const first = new Map<string, LeftOverSeries>();
  for (const series of leftOvers) {
    const key = crawlKey(series.part.id, series.anchor);
    if (!first.has(key)) first.set(key, series);
  }
  return [...first.values()];
}

/** 95th percentile of what is left over on a part's nodes, by `crawlKey`. */
export function crawlOf(leftOvers: readonly LeftOverSeries[]): Map<string, Px> {
  const out = new Map<string, Px>();
  for (const { part, frames, cells, dx, dy, found } of told(leftOvers)) {
    const count = cells.length / 2;
    frames.forEach((frame, r) => {
      const sizes: number[] = [];
      for (let i = r * count; i < (r + 1) * count; i++)
        if (found[i] === 1 && Number.isFinite(dx[i])) sizes.push(Math.hypot(dx[i], dy[i]));
      if (r === 0 || sizes.length === 0) return;
      sizes.sort((a, b) => a - b);
      out.set(crawlKey(part.id, frame), px(sizes[Math.floor(SHARE * sizes.length)]));
    });
  }
  return out;
}

/** The report's surfaces; nothing where there are none. */
export function surfacesOf(leftOvers: readonly LeftOverSeries[]): Pick<Report, "surfaces"> {
  const surfaces = told(leftOvers).map(surfaceOf);
  return surfaces.length === 0 ? {} : { surfaces };
}

function surfaceOf(series: LeftOverSeries): ReportSurface {
  const { part, anchor, frames, carrierBy, cells, covariance, places, dx, dy } = series;
  const count = cells.length / 2;
  const last = (frames.length - 1) * count;
  const sigmaOf = (i: number): number => Math.sqrt((covariance[3 * i] + covariance[3 * i + 2]) / 2);
  const known = Array.from({ length: count }, (_, i) => i).filter((i) => Number.isFinite(sigmaOf(i)));
  const carrier = 3 * (frames.length - 1);
  const common = (series.carrierCovariance[carrier] + series.carrierCovariance[carrier + 2]) / 2;
  const floor = known.length === 0 ? null : FLOOR_SIGMAS * median(known.map(sigmaOf));
  const measured = known.length / count;
  return {
    part: part.id,
    anchor,
    frame: frames[frames.length - 1],
    carrierBy,
    nodes: known
      .filter((i) => Number.isFinite(dx[last + i]))
      .map((i) => [
        px(places[2 * i]),
        px(places[2 * i + 1]),
        px(dx[last + i]),
        px(dy[last + i]),
        px(Math.sqrt(sigmaOf(i) ** 2 + common)),
      ]),
    measured,
    floorPx: floor === null ? null : px(floor),
    reason:
      measured > 1 - BARE
        ? ""
        : `${Math.round(100 * (1 - measured))} % of it can't be measured, because it is too bare or was covered too long${
            floor === null ? "" : `; on the rest a patch that shifted ${floor.toFixed(2)} px would have been seen`
          }`,
  };
}
