import { median } from "../../../measure/statistics/robust.ts";
import type { FrameRow } from "../../series.ts";
import { eventsOf } from "./events.ts";
import { historyOf, lightThresholds } from "./history-of.ts";
import { FLICKER_ROWS } from "./light-change.ts";
import type { SeriesEvent } from "./series-event.ts";

// What the focus did: over the whole frame, and in regions of it, which go apart where the focus moves in depth. The
// reference frame has no row: its own noise, which all others share, is in the zero of the series.

/**
 * Scatter that is expected before the shot is seen: what the cells of the frames say of their mean, at least half a
 * hundredth of the contrast. Of strongly compressed frames it is up to half as much again.
 */
const EXPECTED = 0.005;
const OF_REPORTED = 1.5;
/** Twelve regions are looked at, not one: the threshold for one in a thousand of all is that much higher. */
const FOR_REGIONS = 1;
/** Share of the frames in which a region must have been told. */
const LEAST_TOLD = 0.8;

export interface FocusChange extends SeriesEvent {
  /** Share of the contrast that was lost; negative: gained. */
  readonly loss: number;
  readonly sigma: number;
  /** Regions of the lattice that it was seen in; empty: the whole frame. */
  readonly regions: readonly number[];
}

interface FocusRow {
  readonly frame: FrameRow["frame"];
  readonly value: number;
  readonly sigma: number;
}

function changesOf(rows: readonly FocusRow[], stepBand: number, more: number): Omit<FocusChange, "regions">[] {
  if (rows.length < 3) return [];
  const axis = Float64Array.from(rows, ({ frame }) => frame - rows[0].frame);
  const values = Float64Array.from(rows, ({ value }) => value);
  const expected = Math.max(EXPECTED, OF_REPORTED * median(rows.map(({ sigma }) => sigma)));
  const prior = { covariance: Float64Array.of(expected ** 2), rows: FLICKER_ROWS };
  const series = { values, dims: 1, weights: new Float64Array(rows.length).fill(1), prior };
  const { slow, step, pop } = lightThresholds("light", series);
  const history = historyOf("light", series, [axis], {
    singleEnds: true,
    thresholds: { slow: slow + more, step: step + more, pop: pop + more },
  });
  if (history === null) return [];
  const scatter = Math.sqrt(history.covariance[0]);
  return eventsOf(history, {
    frames: rows.map(({ frame }) => frame),
    sizeOf: ([value]) => Math.abs(value),
    along: ([value], [reference]) => value * Math.sign(reference),
    matters: ([value]) => Math.abs(value) > stepBand,
    sigmas: ([value]) => Math.abs(value) / scatter,
    trendOnly: false,
  }).map((event) => ({ ...event, loss: event.value[0], sigma: Math.sqrt(event.covariance[0]) }));
}

/** Frames by which a change may lie beside a slow one and still be of it. */
const BESIDE_SLOW = 3;
/** A region that lost so many times what the whole frame did stands for both. */
const CLEARLY_MORE = 1.5;

/**
 * Whether two changes are one: a lens has one focus, which near and far go through unlike each other, so that one creep is
 * a slow loss here, a step there and a single frame elsewhere.
 */
function isSame(a: SeriesEvent, b: SeriesEvent): boolean {
  if (a.family !== "slow" && b.family !== "slow") return a.family === b.family && a.from === b.from;
  return a.from <= b.to + BESIDE_SLOW && b.from <= a.to + BESIDE_SLOW;
}

/** A touch of the whole picture in one frame amid something slow is an event of its own. */
const isTouch = ({ family, from }: SeriesEvent, slow: SeriesEvent): boolean =>
  family === "pop" && slow.family === "slow" && from > slow.from + BESIDE_SLOW && from < slow.to - BESIDE_SLOW;

/**
 * Changes of the focus that are real: those of the whole frame, and those of regions, each joined where they are one.
 * @param band loss up to which a region's change doesn't count, and a step beside a slow change is part of it
 */
export function focusChanges(frames: readonly FrameRow[], band: number): FocusChange[] {
  const rows = frames.flatMap(({ frame, focus }) => (focus === undefined ? [] : [{ frame, focus }]));
  const whole = changesOf(
    rows.map(({ frame, focus }) => ({ frame, value: focus.loss, sigma: focus.sigma })),
    band,
    0,
  ).map((change) => ({ ...change, regions: [] }));
  const ofRegions: FocusChange[] = [];
  const count = rows[0]?.focus.regions.length ?? 0;
  for (let region = 0; region < count; region++) {
    const told = rows
      .map(({ frame, focus }) => ({ frame, value: focus.regions[region], sigma: focus.regionSigmas[region] }))
      .filter(({ value, sigma }) => Number.isFinite(value) && Number.isFinite(sigma));
    if (told.length < LEAST_TOLD * rows.length) continue;
    for (const change of changesOf(told, band, FOR_REGIONS))
      if (Math.abs(change.loss) > band) ofRegions.push({ ...change, regions: [region] });
  }
  // The largest stands for all that are one with it.
  const apart: FocusChange[] = [];
  for (const change of ofRegions.toSorted((a, b) => Math.abs(b.loss) - Math.abs(a.loss))) {
    const at = apart.findIndex((one) => isSame(one, change));
    if (at < 0) apart.push(change);
    else apart[at] = { ...apart[at], regions: [...new Set([...apart[at].regions, ...change.regions])] };
  }
  const isOf = (one: FocusChange, other: FocusChange): boolean => isSame(one, other) && !isTouch(one, other);
  const isMore = (region: FocusChange, one: FocusChange): boolean =>
    Math.abs(region.loss) > CLEARLY_MORE * Math.abs(one.loss);
  return [
    ...whole.filter((one) => !apart.some((region) => isOf(one, region) && isMore(region, one))),
    ...apart.filter(
      (region) => !whole.some((one) => Math.abs(one.loss) > band && isSame(one, region) && !isMore(region, one)),
    ),
  ];
}
