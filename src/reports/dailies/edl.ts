import { flagKindLabels, framesOfTimecode, timecodeOf } from "../../model/index.ts";
import { type FrameNumber, frameNumber } from "../../units/index.ts";
import type { Dailies, DailiesShot } from "./dailies.ts";
import { clipsOf, colourOf, NOTE_COLOUR, shownFrames } from "./otio.ts";
import { decisionOf, shotTitle } from "./sentences.ts";
import { stretch } from "./span.ts";

// A CMX 3600 edit list: an event a shot, one after another from one hour on (common practice), and a marker line a
// finding, written as they stand in OpenTimelineIO's cmx_3600 sample:
// "* LOC: 01:00:01:14 RED     ANIM FIX NEEDED", at the record time.

export type EdlResult = { readonly edl: string } | { readonly reason: string };

/** Width of a reel's name in an edit list. */
const REEL = 8;
const COLOUR = 8;

/** Readers take every character of a line for itself: line ends go, and what is not ASCII is spelt without its marks. */
const oneLine = (text: string): string =>
  text
    .replace(/\u00b1/gu, "+/-")
    .replace(/\u2212/gu, "-")
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .replace(/\s+/gu, " ")
    .replace(/[^\x20-\x7e]/gu, "?")
    .trim();

const reelOf = (name: string): string =>
  oneLine(name)
    .toUpperCase()
    .replace(/[^A-Z0-9_]/gu, "_")
    .slice(0, REEL)
    .padEnd(REEL);

interface Line {
  readonly at: FrameNumber;
  readonly colour: string;
  readonly text: string;
}

const linesOf = (shot: DailiesShot, first: FrameNumber): readonly Line[] => [
  ...shot.findings.map((finding) => {
    const { flag, part, state } = finding;
    const what = part === null ? flagKindLabels[flag.kind] : `${flagKindLabels[flag.kind]} ${part.name}`;
    const frames = flag.from === flag.to ? `frame ${flag.from}` : `frames ${stretch([flag.from, flag.to])}`;
    return {
      at: flag.from,
      colour: colourOf(state),
      text: `${what}, ${frames}: ${flag.message} [${decisionOf(finding)}]`,
    };
  }),
  ...shot.notes.map(({ note }) => ({ at: note.frame ?? first, colour: NOTE_COLOUR, text: note.text })),
];

/** The notes as an edit list, or why there can be none: it has one rate, and one that timecode is defined for. */
export const dailiesEdl = (dailies: Dailies): EdlResult => {
  const clips = clipsOf(dailies);
  if (clips.length === 0) return { reason: "there is no shot to list" };
  const rates = clips.map(([shot]) => shot.counting.fps);
  const other = clips.find(([shot]) => shot.counting.fps !== rates[0])?.[0];
  const [fps] = rates;
  if (other !== undefined)
    return {
      reason: `an edit list has one rate: ${clips[0][0].name} has ${fps} frames a second, ${other.name} ${other.counting.fps}`,
    };
  const isDrop = timecodeOf(frameNumber(0), fps)?.includes(";");
  if (isDrop === undefined) return { reason: `there is no timecode at ${fps} frames a second` };
  const begin = isDrop ? "01:00:00;00" : "01:00:00:00";
  let record = framesOfTimecode(begin, fps) ?? 0;
  const zero = isDrop ? "00:00:00;00" : "00:00:00:00";
  const recordTime = (frame: number): string => timecodeOf(frameNumber(frame), fps, zero) ?? zero;
  const lines = ["TITLE: DAILIES", `FCM: ${isDrop ? "DROP FRAME" : "NON-DROP FRAME"}`, ""];
  clips.forEach((shots, place) => {
    const [shot] = shots;
    const [first, length] = shownFrames(shot, dailies.filter.wholeShot);
    const sourceTime = (frame: number): string =>
      timecodeOf(frameNumber(frame), fps, shot.counting.timecodeStart) ?? recordTime(frame);
    const times = [sourceTime(first), sourceTime(first + length), recordTime(record), recordTime(record + length)];
    lines.push(
      `${String(place + 1).padStart(3, "0")}  ${reelOf(shot.name)} V     C        ${times.join(" ")}`,
      `* FROM CLIP NAME: ${oneLine(shotTitle(shot))}`,
    );
    const marks = shots.flatMap((one) => linesOf(one, first)).toSorted((a, b) => a.at - b.at);
    for (const { at, colour, text } of marks) {
      // A drift that began before the cut is marked where it can first be seen.
      const shown = Math.min(Math.max(at - first, 0), length - 1);
      lines.push(`* LOC: ${recordTime(record + shown)} ${colour.padEnd(COLOUR)}${oneLine(text)}`);
    }
    lines.push("");
    record += length;
  });
  return { edl: lines.join("\r\n") };
};
