import { inverse, quadratic } from "../../measure/statistics/matrix.ts";
import { px } from "../../units/index.ts";
import { likelyCauses } from "../../workshop/seam.ts";
import type { Hold, JudgeInput } from "../series.ts";
import { anchorRow, type HeldRow, motionOf, REPORTED_VARIANCE_FACTOR, rowsOf } from "./evidence/held-series.ts";
import { type Displacement, largestDisplacement } from "./evidence/rigid.ts";
import type { Finding, Kind } from "./kind.ts";
import { mmAt } from "./part-finding.ts";
import { thresholdsFor } from "./threshold-at.ts";
import { capital, mmWords, pxWords, wayWords } from "./words.ts";

/** Frames of a wearing whose mean is its seat. */
const SEAT_FRAMES = 4;
const DIMS = 3;

interface Seat {
  readonly hold: Hold;
  readonly from: HeldRow["frame"];
  readonly to: HeldRow["frame"];
  readonly largest: Displacement;
  readonly statistic: number;
  readonly threshold: number;
}

/** A swapped piece sits elsewhere than the last time that it was worn, camera and carrier taken out. */
export const seating: Kind = {
  kind: "seating",
  statistic:
    "mean of a wearing's first frames against the last frame in which the same piece was worn, over its standard error, Hotelling's T over dx, dy and turn",
  source: "Hotelling 1931; thresholds of a step by null simulation",
  bands: [{ key: "seating", value: 0.3, unit: "px" }],
  threshold: ({ input }) => {
    const seats = seatsIn(input);
    return seats.length === 0 ? null : Math.max(...seats.map(({ threshold }) => threshold));
  },
  find: ({ input }, bandOf) =>
    seatsIn(input)
      .filter(({ statistic, threshold }) => statistic > threshold)
      .filter(({ hold, largest }) => largest.px > bandOf("seating", hold.part))
      .map((seat) => seatFinding(seat, input)),
};

const seatsIn = (input: JudgeInput): Seat[] =>
  input.holds.flatMap((hold) => (hold.worn?.firstTime === false ? (seatOf(hold, input) ?? []) : []));

function seatOf(hold: Hold, { marks }: JudgeInput): Seat | null {
  const rows = rowsOf(hold);
  const seat = rows.slice(0, SEAT_FRAMES);
  if (seat.length === 0) return null;
  // What a person put elsewhere on purpose is logged, not flagged.
  const start = seat[0].frame;
  const isPut = marks.some(
    ({ kind, frame, part }) =>
      kind !== "break" && frame > hold.anchor && frame <= start && (part === null || part === hold.part.id),
  );
  if (isPut) return null;
  const turnKnown = seat.every((row) => Number.isFinite(row.turn));
  const dims = turnKnown ? DIMS : 2;
  const value = new Float64Array(dims);
  const covariance = Float64Array.from({ length: dims * dims }, () => 0);
  const before = anchorRow(hold).covariance;
  for (let a = 0; a < dims; a++) {
    for (const row of seat) value[a] += [row.dx, row.dy, row.turn][a] / seat.length;
    for (let b = 0; b < dims; b++) {
      // The error of a carrier that moved is common to the frames after: their mean is no surer than one of them.
      const share = hold.worn?.carrierHeld === true ? seat.length : 1;
      const own = seat.reduce((sum, row) => sum + row.covariance[a * DIMS + b], 0) / seat.length / share;
      covariance[a * dims + b] = REPORTED_VARIANCE_FACTOR * (own + before[a * DIMS + b]);
    }
  }
  const precision = inverse(covariance, dims);
  if (precision === null) return null;
  const motion = motionOf(value, covariance, hold.centroid);
  return {
    hold,
    from: start,
    to: rows[rows.length - 1].frame,
    largest: largestDisplacement([{ outline: hold.outline, motion }]),
    statistic: Math.sqrt(quadratic(precision, value)),
    threshold: thresholdsFor("held", seat.length + 1).step,
  };
}

function seatFinding({ hold, from, to, largest, statistic, threshold }: Seat, input: JudgeInput): Finding {
  const { part } = hold;
  const mm = mmAt(part, largest.px, input);
  const size = `${pxWords(largest.px, largest.sigma)}${mmWords(mm, ((mm ?? 0) * largest.sigma) / largest.px)}`;
  const piece = hold.worn?.piece ?? "";
  return {
    kind: "seating",
    part: part.id,
    from,
    to,
    px: px(largest.px),
    mm,
    stops: null,
    carries: [],
    sigma: largest.sigma,
    score: statistic / threshold,
    direction: largest.direction,
    perMinutePx: null,
    joint: null,
    pivot: null,
    region: null,
    message: `${capital(part.name)} sits ${size} ${wayWords(largest.direction)} from where the same piece (${piece}) sat in frame ${hold.anchor}.`,
    ...likelyCauses("seating", part.kind, part.build),
  };
}
