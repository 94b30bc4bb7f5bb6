import { px } from "../../units/index.ts";
import { likelyCauses } from "../../workshop/seam.ts";
import type { JudgeInput } from "../series.ts";
import type { FocusChange } from "./evidence/focus-change.ts";
import { LATTICE_COLS, LATTICE_ROWS } from "./evidence/light-change.ts";
import type { Finding, Kind } from "./kind.ts";
import { thresholdsFor } from "./threshold-at.ts";

const SOFT = "soft";

/**
 * Focus or iris crept, or was touched. Sharpness is the contrast of waves 3 px long in the analysed frame, the finest
 * that it carries well; 5 % of it is lost when the lens's blur of 0.5 px, or more, grows by a twentieth.
 */
export const soft: Kind = {
  kind: "soft",
  statistic:
    "step, slow change or single frame of the mean change of blur (what registration leaves over, regressed on the Laplacian of the reference) over its scatter, frame-wide and in twelve regions",
  source:
    "blur as diffusion: Koenderink 1984; single frames and steps as for the light, Cook & Weisberg 1982; thresholds by null simulation",
  bands: [{ key: SOFT, value: 0.05, unit: "fraction" }],
  threshold: ({ input }) => {
    const rows = input.frames.filter((row) => row.focus !== undefined).length;
    return rows > 2 ? thresholdsFor("light", rows).step : null;
  },
  find: ({ input, camera, focus }, bandOf) => {
    const band = bandOf(SOFT);
    return focus
      .filter(({ loss }) => Math.abs(loss) > band)
      .filter((change) => !camera.some((event) => isAt(event, change)) || isBeyondResampling(change, band))
      .map((change) => softFinding(change, input));
  },
};

/** A knock of half a pixel costs waves of 3 px up to this many times the band in the resampling: that is the camera's flag. */
const OF_RESAMPLING = 2;

const isBeyondResampling = ({ loss, regions }: FocusChange, band: number): boolean =>
  regions.length === 0 && Math.abs(loss) > OF_RESAMPLING * band;

const isAt = (event: { readonly from: number; readonly family: string }, change: FocusChange): boolean =>
  event.family !== "slow" && change.family !== "slow" && event.from === change.from;

function whenWords({ family, from, to, putRight, unsettled }: FocusChange): string {
  if (family === "slow") return `from frame ${from} to ${to}`;
  if (family === "pop") return `at frame ${from} alone`;
  if (putRight) return `at frame ${from} and was back after frame ${to}`;
  return unsettled ? `at frame ${from}, the last one` : `at frame ${from} and stayed so`;
}

function regionOf({ regions }: FocusChange, { width, height }: JudgeInput): Finding["region"] {
  if (regions.length === 0) return null;
  const cols = regions.map((region) => region % LATTICE_COLS);
  const rows = regions.map((region) => Math.floor(region / LATTICE_COLS));
  const [left, right] = [Math.min(...cols), Math.max(...cols) + 1].map((col) => px((col * width) / LATTICE_COLS));
  const [top, bottom] = [Math.min(...rows), Math.max(...rows) + 1].map((row) => px((row * height) / LATTICE_ROWS));
  return [
    [left, top],
    [right, top],
    [right, bottom],
    [left, bottom],
  ];
}

function softFinding(change: FocusChange, input: JudgeInput): Finding {
  const size = `${(100 * Math.abs(change.loss)).toFixed(0)} ± ${Math.max(1, 100 * change.sigma).toFixed(0)} %`;
  const verb = change.loss > 0 ? `lost ${size} of its` : `gained ${size} of`;
  const where = change.regions.length === 0 ? "The picture" : "Part of the picture";
  return {
    kind: "soft",
    part: null,
    from: change.from,
    to: change.to,
    px: null,
    mm: null,
    stops: null,
    carries: [],
    sigma: null,
    score: change.statistic / change.threshold,
    direction: null,
    perMinutePx: null,
    joint: null,
    pivot: null,
    region: regionOf(change, input),
    message: `${where} ${verb} sharpness ${whenWords(change)}.`,
    ...likelyCauses("soft", null, null),
  };
}
