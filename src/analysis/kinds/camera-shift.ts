import { px } from "../../units/index.ts";
import { likelyCauses } from "../../workshop/seam.ts";
import type { CameraEvent } from "./evidence/camera-motion.ts";
import type { Finding, Kind } from "./kind.ts";
import { thresholdsFor } from "./threshold-at.ts";
import { pxWords } from "./words.ts";

const STEP = "camera-shift";
const SLOW = "camera-shift-slow";
/** A change of scale is told from this many of its sigmas on. */
const GROWTH_SIGMAS = 5;

/** The camera moved while it was meant to hold, at once or slowly. */
export const cameraShift: Kind = {
  kind: "camera-shift",
  statistic:
    "step, slow drift or single frame of the background's shift, turn and scale over its standard error, Hotelling's T",
  source: "Hotelling 1931, Hawkins 1977, Schwarz 1978; thresholds by null simulation",
  bands: [
    { key: STEP, value: 0.1, unit: "px" },
    { key: SLOW, value: 0.25, unit: "px" },
  ],
  threshold: ({ rows, input }) => (rows.camera > 1 ? thresholdsFor("camera", rows.camera, input.live).step : null),
  find: ({ camera }, bandOf) =>
    camera
      .filter((event) => event.displacement.px > bandOf(event.family === "slow" ? SLOW : STEP))
      .map((event) => cameraFinding(event)),
};

function whenWords({ family, from, to, unsettled, putRight }: CameraEvent): string {
  if (family === "slow") return `from frame ${from} to ${to}`;
  if (family === "pop") return `at frame ${from} alone`;
  if (unsettled) return `at frame ${from}, the last one; if the next is back it was out for one frame`;
  return putRight ? `at frame ${from} and was back after frame ${to}` : `at frame ${from} and stayed there`;
}

/** ", the picture growing by 0.10 ± 0.01 %": focus that breathes, or a zoom. */
function growthWords({ growth, atCorner }: CameraEvent): string {
  if (!atCorner || Math.abs(growth.value) < GROWTH_SIGMAS * growth.sigma) return "";
  const percent = (value: number) => (100 * value).toFixed(growth.sigma < 5e-5 ? 3 : 2);
  const how = growth.value > 0 ? "growing" : "shrinking";
  return `, the picture ${how} by ${percent(Math.abs(growth.value))} ± ${percent(Math.max(growth.sigma, 5e-6))} %`;
}

function cameraFinding(event: CameraEvent): Finding {
  const { displacement, family } = event;
  const verb = { slow: "crept", step: "shifted", pop: "was out" }[family];
  const where = event.atCorner ? " in the corner that moved most (it turned or zoomed)" : "";
  const size = pxWords(displacement.px, displacement.sigma);
  const path = event.offPath ? " off the smooth path of its move" : "";
  return {
    kind: "camera-shift",
    part: null,
    from: event.from,
    to: event.to,
    px: px(displacement.px),
    mm: null,
    stops: null,
    carries: [],
    sigma: displacement.sigma,
    score: event.statistic / event.threshold,
    direction: displacement.px > 0 ? displacement.direction : null,
    perMinutePx: null,
    joint: null,
    pivot: null,
    region: null,
    message: `The camera ${verb} ${size}${where}${path} ${whenWords(event)}${growthWords(event)}.`,
    ...likelyCauses("camera-shift", null, null),
  };
}
