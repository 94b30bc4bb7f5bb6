import { frameNumber, type FrameNumber, px } from "../units/index.ts";
import type { Report } from "./report.ts";
import { createPart, createSheet, type Intent, type Part, type Point, type Sheet } from "./sheet.ts";

/** Fewest frames of standing still that are a hold of their own, and not a rest between two moves. */
const LEAST_HOLD = 4;

/** Places are known to a pixel or so: more digits would only pretend. */
const rounded = (points: readonly Point[]): Point[] => points.map(([x, y]) => [px(Math.round(x)), px(Math.round(y))]);

/** "moves" over every stretch with motion, short rests included, and "holds" over what is between. */
function intentsOf(moves: readonly { from: FrameNumber; to: FrameNumber }[], frames: readonly FrameNumber[]): Intent[] {
  const moving = frames.map((frame) => moves.some(({ from, to }) => frame >= from && frame <= to));
  for (let i = 0; i < moving.length; i++) {
    if (moving[i]) continue;
    let end = i;
    while (end < moving.length && !moving[end]) end++;
    if (end - i < LEAST_HOLD && moving.includes(true)) moving.fill(true, i, end);
    i = end - 1;
  }
  const out: { from: FrameNumber; to: FrameNumber; intent: Intent["intent"]; wears: null }[] = [];
  frames.forEach((frame, i) => {
    const intent = moving[i] ? "moves" : "holds";
    const last = out.at(-1);
    if (last?.intent === intent) last.to = frame;
    else out.push({ from: frame, to: frame, intent, wears: null });
  });
  return out;
}

/** A part that could not be measured in most of the frames is nothing to hold on to. */
const isMeasured = ({ tracks }: Report, id: string): boolean => {
  const own = tracks.filter(({ part }) => part === id);
  return own.filter(({ dx }) => dx !== null).length > own.length / 2;
};

/** The place in words: what follows the id in "found-1: left of centre". */
const placeOf = (name: string): string => name.slice(name.indexOf(":") + 1).trim();

/**
 * A sheet for a person to accept or correct, from what a check without a sheet found in the pictures: each piece that
 * drifted as a part that holds, each piece that is animated as one that moves, in the frames in which it did.
 * Names are places, kinds are not told. Null where nothing was found, or where the check had a sheet.
 */
export function proposeSheet(report: Report): Sheet | null {
  const { shot, animated = [] } = report;
  const first = shot.frames[0];
  if (report.made.sheetSha256 !== null || first === undefined) return null;
  const outlineOf = (points: readonly Point[]): Part["outlines"] => [
    { frame: frameNumber(first), points: rounded(points), holes: [] },
  ];
  const held = report.parts
    .filter(({ id, kind }) => kind === "found" && isMeasured(report, id))
    .map(({ id, name, outline }) =>
      createPart({
        id,
        name: `Held, ${placeOf(name)}`,
        kind: "found",
        outlines: outlineOf(outline),
        intents: intentsOf([], shot.frames),
      }),
    );
  const moving = animated.map(({ id, name, outline, moves }) =>
    createPart({
      id,
      name: `Animated, ${placeOf(name)}`,
      kind: "found",
      outlines: outlineOf(outline),
      intents: intentsOf(moves, shot.frames),
    }),
  );
  if (held.length + moving.length === 0) return null;
  const sheet = createSheet(shot.name, [...held, ...moving]);
  return { ...sheet, shot: { ...sheet.shot, fps: shot.fps } };
}
