import { carrierChain, type EaseBack, type Part } from "../model/index.ts";
import { median } from "../measure/statistics/robust.ts";
import { frameNumber, type FrameNumber, px, type Px } from "../units/index.ts";
import { UNNOTICED_ARCMINUTES, unnoticedPx } from "../workshop/seat.ts";
import type { PartDrift } from "./kinds/evidence/part-drift.ts";
import type { Point, Ring } from "./kinds/evidence/rigid.ts";
import type { FrameRow, JudgeInput } from "./series.ts";

// Nobody snaps a drift back in one frame: the correction is spread over the next frames, or hidden in the next move.

/** More frames than this nobody eases over; then the move is what is left. */
const MOST_FRAMES = 480;

/** px put back by the end of each frame, along half a cosine: it starts and ends softly. */
function stepsOf(whole: number, unnoticed: number): number[] {
  // The largest step is the middle one.
  const frames = Math.min(
    MOST_FRAMES,
    Math.max(1, Math.ceil(Math.PI / (2 * Math.asin(Math.min(1, unnoticed / whole))))),
  );
  return Array.from({ length: frames }, (_, k) => (whole * (1 - Math.cos((Math.PI * (k + 1)) / frames))) / 2);
}

type Camera = NonNullable<FrameRow["camera"]>;

/** Where a point of the set that one frame's camera shows at a place is shown by another's. */
function carried(from: Camera, to: Camera, [x, y]: Point, [cx, cy]: Point): [Px, Px] {
  const [u, v] = [x - cx - from.dx, y - cy - from.dy];
  const [c, s] = [Math.cos(0 - from.turn) / from.scale, Math.sin(0 - from.turn) / from.scale];
  const [a, b] = [c * u - s * v, s * u + c * v];
  const [d, e] = [Math.cos(to.turn) * to.scale, Math.sin(to.turn) * to.scale];
  return [px(cx + to.dx + d * a - e * b), px(cy + to.dy + e * a + d * b)];
}

/** The next declared move of the part or of what carries it. */
function nextMove(part: Part, after: FrameNumber, parts: readonly Part[]): EaseBack["move"] {
  const moves = carrierChain({ parts }, part.id).flatMap((one) =>
    one.intents.flatMap(({ from, to, intent }) =>
      intent === "moves" && from > after ? [{ part: one.id, from, to }] : [],
    ),
  );
  return moves.toSorted((a, b) => a.from - b.from)[0] ?? null;
}

const ways = ["right", "down and right", "down", "down and left", "left", "up and left", "up", "up and right"];
/** A direction in the picture in words: x right, y down. */
const wayWords = ([x, y]: Point): string => ways[(Math.round(Math.atan2(y, x) / (Math.PI / 4)) + 8) % 8];

/** How the drift can be taken back from the shot's last frame on; null where it is gone already. */
export function easeBackOf(drift: PartDrift, input: JudgeInput): EaseBack | null {
  const { event, largest, hold, part } = drift;
  const frames = input.frames.map(({ frame }) => frame);
  const last = frames.at(-1);
  if (last === undefined || event.putRight || event.family === "pop" || !(largest.px > 0)) return null;
  // What drifted in a hold that has ended was put somewhere else since.
  if ((hold.rows.at(-1)?.frame ?? last) < last) return null;
  const spacing = frames.length < 2 ? 1 : median(frames.slice(1).map((frame, i) => frame - frames[i]));
  const unnoticed = unnoticedPx(input.width, input.height);
  const steps = stepsOf(largest.px, unnoticed);
  const largestStep = Math.max(...steps.map((step, k) => step - (k === 0 ? 0 : steps[k - 1])));
  const direction: [number, number] = [0 - largest.direction[0], 0 - largest.direction[1]];
  const cameraAt = (frame: FrameNumber) => input.frames.find((row) => row.frame === frame)?.camera ?? null;
  const [before, now] = [cameraAt(hold.anchor), cameraAt(last)];
  const centre: Point = [input.width / 2, input.height / 2];
  const seen = (outline: Ring): [Px, Px][] =>
    outline.map((point) =>
      before === null || now === null ? [px(point[0]), px(point[1])] : carried(before, now, point, centre),
    );
  const ghosts = [
    { part: part.id, outline: hold.outline },
    ...drift.carried.map((one) => ({ part: one.part.id, outline: one.surface.outline })),
  ];
  const move = nextMove(part, last, input.parts);
  const size = largestStep < 0.1 ? largestStep.toFixed(3) : largestStep.toFixed(2);
  const scale = part.pxPerMm ?? input.pxPerMm;
  const inMm = scale === null ? "" : ` (${(largestStep / scale).toFixed(3)} mm)`;
  const hidden = move === null ? "" : `, or hide it in the move of frames ${move.from} to ${move.to}`;
  return {
    frames: steps.length,
    from: frameNumber(last + Math.round(spacing)),
    pxPerFrame: px(largestStep),
    unnoticedPx: px(unnoticed),
    direction,
    steps: steps.map(px),
    move,
    ghost: ghosts
      .filter(({ outline }) => outline.length >= 3)
      .map(({ part: id, outline }) => ({ part: id, outline: seen(outline) })),
    ghostFrame: last,
    message:
      `Ease it back over the next ${steps.length} frames, ${wayWords(direction)}, softly at both ends, at most ${size} px${inMm} a frame${hidden}. ` +
      `(From the seat that sees most, at home by ITU-R BT.500 or in the cinema, ${UNNOTICED_ARCMINUTES} arcmin a frame at 24 a second goes unnoticed: common practice, no source.)`,
  };
}
