import { px, stops } from "../../units/index.ts";
import { likelyCauses } from "../../workshop/seam.ts";
import type { JudgeInput } from "../series.ts";
import { LATTICE_COLS, LATTICE_ROWS, type LightChange } from "./evidence/light-change.ts";
import type { Finding, Kind } from "./kind.ts";
import { thresholdsFor } from "./threshold-at.ts";

/** Left, top, right and bottom, px. */
type Rectangle = readonly [number, number, number, number];

const MEAN = "light";
const SHAPE = "light-shape";
const TREND = "light-trend";

/** A lamp that dropped, an exposure that varied beyond the shot's own flicker, or a trend; told in stops of linear light. */
export const light: Kind = {
  kind: "light",
  statistic:
    "leave-one-out residual of the frame's mean gain, and of the shape of the smooth gain field, against the shot's own flicker; steps and trends likewise",
  source: "Cook & Weisberg 1982, Rosner 1983, Hotelling 1931; thresholds by null simulation",
  bands: [
    { key: MEAN, value: 0.02, unit: "fraction" },
    { key: SHAPE, value: 0.02, unit: "fraction" },
    { key: TREND, value: 0.03, unit: "fraction" },
  ],
  threshold: ({ rows, input }) => (rows.light > 1 ? thresholdsFor("light", rows.light, input.live).pop : null),
  find: ({ light: changes, input }, bandOf) => {
    const beyond = changes.filter((change) => share(change.stops) > bandOf(bandKey(change)));
    const means = beyond.filter((change) => change.of === "mean");
    const shapes = beyond.filter((change) => change.of === "shape");
    const alone = shapes.filter((shape) => !means.some((mean) => isSame(mean, shape)));
    return [
      ...means.map((mean) => lightFinding(mean, shapes.find((shape) => isSame(mean, shape)) ?? null, input)),
      ...alone.map((shape) => lightFinding(shape, shape, input)),
    ];
  },
};

const bandKey = ({ family, of }: LightChange): string => (family === "slow" ? TREND : of === "mean" ? MEAN : SHAPE);

/** Change of linear light as a share of it: 0.05 for a drop by 5 %. */
const share = (change: number): number => Math.abs(2 ** change - 1);

/** One lamp that dims changes the mean and the shape at once: that is one flag. */
const isSame = (a: LightChange, b: LightChange): boolean =>
  a.family === b.family && (a.family === "slow" ? a.from <= b.to && b.from <= a.to : a.from === b.from);

const percent = (change: number, sigma: number): string =>
  `${(100 * share(change)).toFixed(1)} ± ${Math.max(0.1, 100 * Math.LN2 * sigma * 2 ** change).toFixed(1)} %`;

/** The rectangle about the nodes of the lattice that went that way (down: negative) farther than the middle of all. */
function regionOf({ nodes }: LightChange, way: number, { width, height }: JudgeInput): Rectangle {
  const middle = (Math.min(...nodes) + Math.max(...nodes)) / 2;
  const strong = [...nodes.keys()].filter((node) => (nodes[node] - middle) * way > 0);
  const cols = strong.map((node) => node % LATTICE_COLS);
  const rows = strong.map((node) => Math.floor(node / LATTICE_COLS));
  const [w, h] = [width / LATTICE_COLS, height / LATTICE_ROWS];
  return [Math.min(...cols) * w, Math.min(...rows) * h, (Math.max(...cols) + 1) * w, (Math.max(...rows) + 1) * h];
}

function placeWords([left, top, right, bottom]: Rectangle, { width, height }: JudgeInput): string {
  const across = (left + right) / 2 / width;
  const along = (top + bottom) / 2 / height;
  const side = across < 0.4 ? "left" : across > 0.6 ? "right" : "";
  const level = along < 0.4 ? "top" : along > 0.6 ? "bottom" : "";
  return [level, side].filter((word) => word !== "").join(" ") || "middle";
}

function whenWords({ family, from, to, putRight, unsettled }: LightChange): string {
  if (family === "slow") return `from frame ${from} to ${to}`;
  if (family === "pop") return `at frame ${from} alone`;
  if (putRight) return `at frame ${from} and was back after frame ${to}`;
  return unsettled ? `at frame ${from}, the last one` : `at frame ${from} and stayed there`;
}

function lightFinding(change: LightChange, shape: LightChange | null, input: JudgeInput): Finding {
  const verb = change.stops < 0 ? "dropped" : "rose";
  const region = shape === null ? null : regionOf(shape, change.stops, input);
  const size = percent(change.stops, change.sigma);
  const place = region === null ? "" : placeWords(region, input);
  const sentence =
    change.of === "mean"
      ? `The light ${verb} ${size} ${whenWords(change)}${shape === null ? "" : `, mostly at the ${place} (${percent(shape.stops, shape.sigma)} between regions): a lamp, not the exposure`}.`
      : `The light at the ${place} ${verb} ${size} against the rest ${whenWords(change)}: a lamp, not the exposure.`;
  return {
    kind: "light",
    part: null,
    from: change.from,
    to: change.to,
    px: null,
    mm: null,
    stops: stops(change.stops),
    carries: [],
    sigma: change.sigma,
    score: change.statistic / change.threshold,
    direction: null,
    perMinutePx: null,
    joint: null,
    pivot: null,
    region: region === null ? null : corners(region),
    message: sentence,
    ...likelyCauses("light", null, null),
  };
}

function corners([left, top, right, bottom]: Rectangle): Finding["region"] {
  return [
    [px(left), px(top)],
    [px(right), px(top)],
    [px(right), px(bottom)],
    [px(left), px(bottom)],
  ];
}
