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

const isSame = (a: SeriesEvent, b: SeriesEvent): boolean =>
  a.family === b.family && (a.family === "slow" ? a.from <= b.to && b.from <= a.to : a.from === b.from);

/**
 * Changes of the focus that are real: those of the whole frame, then those of regions alone, joined where they are one.
 * @param band loss up to which a region's change doesn't count, and a step beside a slow change is part of it
 */
export function focusChanges(frames: readonly FrameRow[], band: number): FocusChange[] {
  const rows = frames.flatMap(({ frame, focus }) => (focus === undefined ? [] : [{ frame, focus }]));
  const whole = changesOf(
    rows.map(({ frame, focus }) => ({ frame, value: focus.loss, sigma: focus.sigma })),
    band,
    0,
  ).map((change) => ({ ...change, regions: [] }));
  const out: FocusChange[] = [...whole];
  const count = rows[0]?.focus.regions.length ?? 0;
  for (let region = 0; region < count; region++) {
    const told = rows
      .map(({ frame, focus }) => ({ frame, value: focus.regions[region], sigma: focus.regionSigmas[region] }))
      .filter(({ value, sigma }) => Number.isFinite(value) && Number.isFinite(sigma));
    if (told.length < LEAST_TOLD * rows.length) continue;
    for (const change of changesOf(told, band, FOR_REGIONS)) {
      if (Math.abs(change.loss) <= band || whole.some((one) => Math.abs(one.loss) > band && isSame(one, change)))
        continue;
      const at = out.findIndex((one) => one.regions.length > 0 && isSame(one, change));
      if (at < 0) {
        out.push({ ...change, regions: [region] });
        continue;
      }
      // The strongest stands for all.
      const stronger = Math.abs(change.loss) > Math.abs(out[at].loss) ? change : out[at];
      out[at] = { ...stronger, regions: [...out[at].regions, region] };
    }
  }
  return out;
}
