import Papa from "papaparse";
import { expect, test } from "vitest";
import type { Flag } from "../../src/model/index.ts";
import { type DailiesSource, everything, gatherDailies } from "../../src/reports/dailies/dailies.ts";
import { dailiesEdl } from "../../src/reports/dailies/edl.ts";
import { findingsCsv } from "../../src/reports/dailies/findings-csv.ts";
import { dailiesOtio } from "../../src/reports/dailies/otio.ts";
import { writeCsv } from "../../src/reports/csv.ts";
import { frameNumber } from "../../src/units/index.ts";
import { report, sag } from "../unit/cli-report.ts";
import { hive010, source } from "../unit/dailies-example.ts";

// Interchange against published examples. What was read where stands beside each.

const shotOf = (fps: number, last: number, flags: readonly Flag[], timecodeStart?: string): DailiesSource => ({
  ...source(),
  verdicts: [],
  notes: [],
  report: report({
    shot: {
      ...report().shot,
      fps,
      frames: Array.from({ length: last + 1 }, (_, i) => frameNumber(i)),
      ...(timecodeStart === undefined ? {} : { timecodeStart }),
    },
    flags,
  }),
});

const flagAt = (frame: number): Flag => ({ ...sag, id: `f${frame}`, from: frameNumber(frame), to: frameNumber(frame) });

test("marker lines of an edit list are written as those of OpenTimelineIO's sample are", () => {
  // OpenTimelineIO, tests/sample_data/screening_example.edl: "* LOC: 01:00:01:14 RED     ANIM FIX NEEDED"; its reader
  // puts these lines at frames 86438, 86462 and 86773 at 24 frames a second. The record side begins at 86400 here.
  const result = dailiesEdl(gatherDailies([shotOf(24, 400, [38, 62, 373].map(flagAt))]));
  const edl = "edl" in result ? result.edl : result.reason;
  const marks = edl.split("\r\n").filter((line) => line.startsWith("* LOC: "));
  expect(marks.map((line) => line.slice(0, 27))).toEqual([
    "* LOC: 01:00:01:14 RED     ",
    "* LOC: 01:00:02:14 RED     ",
    "* LOC: 01:00:15:13 RED     ",
  ]);
  // The same file's event line: number, reel of 8, V, C, source in and out, record in and out.
  expect(edl).toMatch(
    /^TITLE: .*\r\nFCM: NON-DROP FRAME\r\n\r\n001 {2}HIVE_010 V {5}C {8}00:00:00:00 00:00:16:17 01:00:00:00 01:00:16:17\r\n\* FROM CLIP NAME: hive_010/u,
  );
});

test("an edit list at 29.97 counts in drop-frame", () => {
  // OpenTimelineIO's tests of drop-frame at 29.97: frame 1800 is 00:01:00;02. From 01:00:00;00 (107892) on it is 01:01:00;02.
  const result = dailiesEdl(gatherDailies([shotOf(29.97, 1800, [flagAt(1800)], "00:00:00;00")]));
  const edl = "edl" in result ? result.edl : result.reason;
  expect(edl).toContain("FCM: DROP FRAME");
  expect(edl).toContain("00:00:00;00 00:01:00;03 01:00:00;00 01:01:00;03");
  expect(edl).toContain("* LOC: 01:01:00;02 RED ");
});

test.each([
  // 24: checked by OpenTimelineIO's cmx_3600 sample; 29.97: OpenTimelineIO's tests of drop-frame; 25 and 30: by hand.
  [24, "01:00:00:00", 38, "01:00:01:14"],
  [25, "01:00:00:00", 38, "01:00:01:13"],
  [29.97, "00:00:00;00", 1800, "00:01:00;02"],
  [30, "00:00:00:00", 1800, "00:01:00:00"],
])("at %d frames a second from %s frame %i is %s in the list", (fps, start, frame, timecode) => {
  const csv = findingsCsv(gatherDailies([shotOf(fps, frame, [flagAt(frame)], start)]));
  expect(Papa.parse<string[]>(csv).data[1]).toContain(timecode);
});

test.each([
  // 35 mm film with 4 perforations, 16 frames a foot: frame 24 is 1+08, frame 1440 is 90+00.
  [24, "1+08"],
  [1440, "90+00"],
])("frame %i is at %s feet", (frame, feet) => {
  const csv = findingsCsv(gatherDailies([shotOf(24, frame, [flagAt(frame)])]));
  expect(Papa.parse<string[]>(csv).data[1]).toContain(feet);
});

test("CSV is quoted as RFC 4180 has it", () => {
  // RFC 4180, 2.6 and 2.7: fields with line breaks, double quotes and commas are quoted; a quote is doubled.
  expect(writeCsv(["a", "b", "c"], [["aaa", 'b"bb', "c\r\nc,c"]])).toBe('a,b,c\r\naaa,"b""bb","c\r\nc,c"\r\n');
});

// OpenTimelineIO, docs/tutorials/otio-serialized-schema-only-fields.md, "Serialized Data (Fields Only)"; the children of
// compositions from its sample files.
const item = ["effects", "enabled", "markers", "metadata", "name", "source_range"];
const media = ["available_image_bounds", "available_range", "metadata", "name"];
const schema: Readonly<Record<string, readonly string[]>> = {
  "Timeline.1": ["global_start_time", "metadata", "name", "tracks"],
  "Stack.1": [...item, "children"],
  "Track.1": [...item, "kind", "children"],
  "Clip.2": [...item, "active_media_reference_key", "media_references"],
  "Marker.2": ["color", "comment", "marked_range", "metadata", "name"],
  "TimeRange.1": ["duration", "start_time"],
  "RationalTime.1": ["rate", "value"],
  "MissingReference.1": media,
  "ImageSequenceReference.1": [
    ...media,
    "frame_step",
    "frame_zero_padding",
    "missing_frame_policy",
    "name_prefix",
    "name_suffix",
    "rate",
    "start_frame",
    "target_url_base",
  ],
};
// OpenTimelineIO, schema/marker.py, MarkerColor.
const markerColours = "PINK RED ORANGE YELLOW GREEN CYAN BLUE PURPLE MAGENTA BLACK WHITE".split(" ");

const objectsIn = (value: unknown): Record<string, unknown>[] => {
  if (Array.isArray(value)) return value.flatMap(objectsIn);
  if (typeof value !== "object" || value === null) return [];
  const object = value as Record<string, unknown>;
  const within = Object.values(object).flatMap(objectsIn);
  return "OTIO_SCHEMA" in object ? [object, ...within] : within;
};

test("every object of the timeline has the fields that the published schema lists for it, and no other", () => {
  const objects = objectsIn(JSON.parse(dailiesOtio(gatherDailies([source()]))));
  expect(new Set(objects.map(({ OTIO_SCHEMA }) => OTIO_SCHEMA))).toEqual(
    new Set(Object.keys(schema).filter((name) => name !== "MissingReference.1")),
  );
  for (const { OTIO_SCHEMA, ...fields } of objects)
    expect(Object.keys(fields).toSorted(), String(OTIO_SCHEMA)).toEqual(schema[String(OTIO_SCHEMA)].toSorted());
  for (const { color } of objects.filter(({ OTIO_SCHEMA }) => OTIO_SCHEMA === "Marker.2"))
    expect(markerColours).toContain(color);
});

test("a clip shows the cut, its markers and media count in its own time", () => {
  const timeline = JSON.parse(dailiesOtio(gatherDailies([source()])));
  const [clip] = timeline.tracks.children[0].children;
  // 01:00:00:00 at 24 is 86400; the cut is 3 to 8, the sag 2 to 11, the files 1 to 11.
  expect(clip.source_range).toMatchObject({
    start_time: { value: 86_403, rate: 24 },
    duration: { value: 6, rate: 24 },
  });
  expect(clip.markers[0].marked_range).toMatchObject({ start_time: { value: 86_402 }, duration: { value: 10 } });
  expect(clip.markers.map(({ color }: { color: string }) => color)).toEqual(["BLUE", "RED", "PURPLE"]);
  expect(clip.media_references[clip.active_media_reference_key]).toMatchObject({
    OTIO_SCHEMA: "ImageSequenceReference.1",
    available_range: { start_time: { value: 86_401 }, duration: { value: 11 } },
    target_url_base: "hive_010/",
    name_prefix: "hive_010_",
    name_suffix: ".jpg",
    start_frame: 1,
    frame_step: 1,
    frame_zero_padding: 4,
  });
});

test("a shot that went on over two days is one clip", () => {
  const timeline = JSON.parse(dailiesOtio(gatherDailies([source()], { ...everything, wholeShot: true })));
  expect(timeline.tracks.children[0].children).toHaveLength(1);
  expect(timeline.tracks.children[0].children[0].markers).toHaveLength(4);
});

test("files without numbers in their names have no sequence to refer to", () => {
  const odd = hive010({ frames: hive010().frames.map((frame) => ({ ...frame, file: "still.jpg" })) });
  const timeline = JSON.parse(dailiesOtio(gatherDailies([source({ report: odd })])));
  const { media_references } = timeline.tracks.children[0].children[0];
  expect(media_references.DEFAULT_MEDIA.OTIO_SCHEMA).toBe("MissingReference.1");
});
