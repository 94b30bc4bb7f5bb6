import { insidePolygon } from "../../measure/mask.ts";
import { CHANGED_Z } from "../../measure/changed-blocks.ts";
import { px } from "../../units/index.ts";
import { likelyCauses } from "../../workshop/seam.ts";
import type { Stray } from "../series.ts";
import type { Evidence, Finding, Kind } from "./kind.ts";
import { pxWords } from "./words.ts";

const STRAY = "stray";

/** Something in the frame that was not there: a fleck, a tool, a finger. */
export const stray: Kind = {
  kind: "stray",
  statistic:
    "change of a block of 8 px against the reference, registered, the light's change round about taken out, over what noise leaves on such blocks",
  source:
    "leave-one-out residuals, Cook & Weisberg 1982; 6.5 standard errors: a chance of 1e-10 for each of the blocks",
  bands: [{ key: STRAY, value: 10, unit: "px" }],
  threshold: ({ input }) => (input.strays === undefined ? null : CHANGED_Z),
  find: (evidence, bandOf) =>
    (evidence.input.strays ?? [])
      .filter(({ diameter }) => diameter > bandOf(STRAY))
      .filter((one) => !isOther(one, evidence))
      .map((one) => strayFinding(one, evidence)),
};

/** What a part that was knocked uncovers, and what a knocked camera shows beside things near and far, is their flag. */
function isOther({ from, to, outline }: Stray, { drifts, camera }: Evidence): boolean {
  if (camera.some((event) => event.from === from || (event.family === "pop" && event.from <= to && event.to >= from)))
    return true;
  return drifts.some(
    (drift) =>
      drift.event.from <= to &&
      drift.event.to >= from &&
      drift.surfaces.some((surface) => outline.some(([x, y]) => isNear(surface.outline, x, y))),
  );
}

/** How far about a part that moved its edge may show, px. */
const REACH = 24;

function isNear(polygon: Stray["outline"], x: number, y: number): boolean {
  if (insidePolygon(polygon, x, y)) return true;
  return polygon.some(([ax, ay], i) => {
    const [bx, by] = polygon[(i + 1) % polygon.length];
    const [dx, dy] = [bx - ax, by - ay];
    const t = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
    return Math.hypot(ax + t * dx - x, ay + t * dy - y) < REACH;
  });
}

function whenWords({ from, to }: Stray, last: number): string {
  if (from === to) return `in frame ${from} alone`;
  return to === last ? `from frame ${from} to the end` : `in frames ${from} to ${to}`;
}

function placeWords({ outline }: Stray, { input }: Evidence): string {
  const x = outline.reduce((sum, point) => sum + point[0], 0) / outline.length / input.width;
  const y = outline.reduce((sum, point) => sum + point[1], 0) / outline.length / input.height;
  const side = x < 0.4 ? "left" : x > 0.6 ? "right" : "";
  const level = y < 0.4 ? "top" : y > 0.6 ? "bottom" : "";
  return [level, side].filter((word) => word !== "").join(" ") || "middle";
}

function strayFinding(one: Stray, evidence: Evidence): Finding {
  const last = evidence.input.frames.at(-1)?.frame ?? one.to;
  return {
    kind: "stray",
    part: null,
    from: one.from,
    to: one.to,
    px: px(one.diameter),
    mm: null,
    stops: null,
    carries: [],
    sigma: one.sigma,
    score: one.z / CHANGED_Z,
    direction: null,
    perMinutePx: null,
    joint: null,
    pivot: null,
    region: one.outline.map(([x, y]) => [px(x), px(y)]),
    message: `Something ${pxWords(one.diameter, one.sigma)} across is at the ${placeWords(one, evidence)} of the picture ${whenWords(one, last)} that was not there before.`,
    ...likelyCauses("stray", null, null),
  };
}
