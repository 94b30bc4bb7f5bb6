import { flagKindLabels, type ReportFrame } from "../../model/index.ts";
import type { FrameNumber } from "../../units/index.ts";
import { type Dailies, type DailiesShot, type Finding, type VerdictState } from "./dailies.ts";
import { departmentLabels } from "./department.ts";
import { decisionOf, shotTitle } from "./sentences.ts";
import { countedFrame } from "./span.ts";

// OpenTimelineIO's JSON, with the fields of its published schema ("Serialized Data (Fields Only)" in its documentation):
// one video track, a clip a shot, a marker a finding. Ranges are in the time of their owner: a clip's and its markers'
// in that of its frames, which count from the shot's timecode.

/** Colours that the schema has words for. */
const colours: Readonly<Record<VerdictState, string>> = {
  open: "RED",
  reshoot: "MAGENTA",
  "paint-out": "ORANGE",
  "ease-back": "YELLOW",
  "to-the-bench": "BLUE",
  "put-right": "GREEN",
  "live-with-it": "CYAN",
  meant: "WHITE",
};

export const colourOf = (state: VerdictState): string => colours[state];
/** Colour of what is no finding. */
export const NOTE_COLOUR = "PURPLE";

const time = (value: number, rate: number) => ({ OTIO_SCHEMA: "RationalTime.1", rate, value });

const range = (start: number, duration: number, rate: number) => ({
  OTIO_SCHEMA: "TimeRange.1",
  duration: time(duration, rate),
  start_time: time(start, rate),
});

const item = (name: string) => ({ name, metadata: {}, source_range: null, effects: [], markers: [], enabled: true });

const NUMBERED = /^(.*?)(\d+)(\.[^.]*)$/u;

/** The sequence of files, where their names say one; the folder is relative, since nobody else's disk is this one. */
const mediaOf = ({ source, counting }: DailiesShot, rate: number) => {
  const { report } = source;
  const frames = report.shot.frames;
  const [first, last] = [frames[0], frames[frames.length - 1]];
  const available = range(countedFrame(counting, first), last - first + 1, rate);
  const base = { name: report.shot.name, metadata: {}, available_range: available, available_image_bounds: null };
  const file: ReportFrame | undefined = report.frames.find(({ frame }) => frame === first);
  const parts = file === undefined ? null : NUMBERED.exec(file.file);
  if (parts === null || Number(parts[2]) !== first) return { OTIO_SCHEMA: "MissingReference.1", ...base };
  const step = frames.length > 1 ? frames[1] - frames[0] : 1;
  const isEven = frames.every((frame, place) => frame === first + place * step);
  return {
    OTIO_SCHEMA: "ImageSequenceReference.1",
    ...base,
    target_url_base: `${encodeURI(report.shot.folder)}/`,
    name_prefix: parts[1],
    name_suffix: parts[3],
    start_frame: first,
    frame_step: isEven ? step : 1,
    rate,
    frame_zero_padding: parts[2].length,
    // A gap in the numbers shows the frame before it.
    missing_frame_policy: "hold",
  };
};

const marker = (
  shot: DailiesShot,
  [from, to]: readonly [FrameNumber, FrameNumber],
  words: { readonly name: string; readonly comment: string; readonly color: string },
  metadata: Readonly<Record<string, unknown>>,
) => ({
  OTIO_SCHEMA: "Marker.2",
  name: words.name,
  color: words.color,
  comment: words.comment,
  marked_range: range(countedFrame(shot.counting, from), to - from + 1, shot.counting.fps),
  metadata: { holdfast: metadata },
});

const findingMarker = (shot: DailiesShot, finding: Finding) => {
  const { flag, part, department, state } = finding;
  const name = part === null ? flagKindLabels[flag.kind] : `${flagKindLabels[flag.kind]}: ${part.name}`;
  return marker(
    shot,
    [flag.from, flag.to],
    { name, comment: `${flag.message} [${decisionOf(finding)}]`, color: colourOf(state) },
    {
      flag: flag.id,
      kind: flag.kind,
      part: flag.part,
      department: departmentLabels[department],
      verdict: state,
      px: flag.px,
      mm: flag.mm,
      stops: flag.stops,
      sigma: flag.sigma,
    },
  );
};

/** First frame and number of frames that the clip shows: the cut, or all there is. */
export const shownFrames = ({ cut, source }: DailiesShot, whole: boolean): readonly [FrameNumber, number] => {
  const { frames } = source.report.shot;
  const [first, last] = whole || cut === null ? [frames[0], frames[frames.length - 1]] : [cut.from, cut.to];
  return [first, last - first + 1];
};

const clip = (shots: readonly DailiesShot[], whole: boolean) => {
  const [shot] = shots;
  const rate = shot.counting.fps;
  const [first, length] = shownFrames(shot, whole);
  const markers = shots.flatMap((one) => [
    ...one.findings.map((finding) => findingMarker(one, finding)),
    ...one.notes.map(({ note, span }) =>
      marker(
        one,
        span === null ? [first, first] : [span.from, span.to],
        { name: "note", comment: note.who === "" ? note.text : `${note.text} [${note.who}]`, color: NOTE_COLOUR },
        { note: note.id },
      ),
    ),
  ]);
  return {
    OTIO_SCHEMA: "Clip.2",
    ...item(shotTitle(shot)),
    source_range: range(countedFrame(shot.counting, first), length, rate),
    markers,
    media_references: { DEFAULT_MEDIA: mediaOf(shot, rate) },
    active_media_reference_key: "DEFAULT_MEDIA",
  };
};

/** A shot that was taken over several days is one clip: its days, in order. */
export const clipsOf = ({ days }: Dailies): readonly (readonly DailiesShot[])[] => {
  const clips = new Map<DailiesShot["source"], DailiesShot[]>();
  for (const shot of days.flatMap(({ shots }) => shots)) {
    const own = clips.get(shot.source);
    if (own === undefined) clips.set(shot.source, [shot]);
    else own.push(shot);
  }
  return [...clips.values()];
};

/** The notes as an OpenTimelineIO timeline. */
export const dailiesOtio = (dailies: Dailies): string => {
  const track = {
    OTIO_SCHEMA: "Track.1",
    ...item("dailies"),
    kind: "Video",
    children: clipsOf(dailies).map((shots) => clip(shots, dailies.filter.wholeShot)),
  };
  const timeline = {
    OTIO_SCHEMA: "Timeline.1",
    name: "dailies",
    metadata: {},
    global_start_time: null,
    tracks: { OTIO_SCHEMA: "Stack.1", ...item("tracks"), children: [track] },
  };
  return `${JSON.stringify(timeline, null, 2)}\n`;
};
