import { flagKindLabels } from "../../model/index.ts";
import { type Cell, writeCsv } from "../csv.ts";
import { mmSigmaOf } from "../flag-size.ts";
import type { Dailies, DailiesShot } from "./dailies.ts";
import { departmentLabels } from "./department.ts";
import { verdictWords } from "./sentences.ts";

const header = [
  "row",
  "day",
  "shot",
  "take",
  "finding",
  "part_id",
  "part",
  "puppet",
  "copy",
  "department",
  "verdict",
  "note",
  "who",
  "decided_utc",
  "from_frame",
  "to_frame",
  "from_timecode",
  "to_timecode",
  "from_feet",
  "to_feet",
  "fps",
  "size_px",
  "sigma_px",
  "size_mm",
  "sigma_mm",
  "light_stops",
  "sigma_stops",
  "speed_px_per_minute",
  "sigma_px_per_minute",
  "joint",
  "score",
  "message",
];

const findingRows = (day: string | null, shot: DailiesShot): Cell[][] =>
  shot.findings.map(({ flag, part, department, verdict, state, span }) => [
    "finding",
    day,
    shot.name,
    shot.take,
    flagKindLabels[flag.kind],
    flag.part,
    part?.name ?? null,
    part?.puppet ?? null,
    part?.copy ?? null,
    departmentLabels[department],
    verdictWords(state),
    verdict?.note ?? null,
    verdict?.who ?? null,
    verdict?.changed ?? null,
    span.from,
    span.to,
    span.timecode?.[0] ?? null,
    span.timecode?.[1] ?? null,
    span.feet[0],
    span.feet[1],
    shot.counting.fps,
    flag.px,
    flag.kind === "light" ? null : flag.px === null ? null : flag.sigma,
    flag.mm,
    mmSigmaOf(flag),
    flag.stops,
    flag.stops === null ? null : flag.sigma,
    flag.perMinutePx,
    flag.perMinuteSigma ?? null,
    flag.joint,
    flag.score,
    flag.message,
  ]);

const noteRows = (day: string | null, shot: DailiesShot): Cell[][] =>
  shot.notes.map(({ note, part, span }) => {
    const cells: Readonly<Record<string, Cell>> = {
      row: "note",
      day,
      shot: shot.name,
      take: shot.take,
      part_id: note.part,
      part: part?.name ?? null,
      puppet: part?.puppet ?? null,
      copy: part?.copy ?? null,
      note: note.text,
      who: note.who,
      decided_utc: note.changed,
      from_frame: span?.from ?? null,
      to_frame: span?.to ?? null,
      from_timecode: span?.timecode?.[0] ?? null,
      to_timecode: span?.timecode?.[1] ?? null,
      from_feet: span?.feet[0] ?? null,
      to_feet: span?.feet[1] ?? null,
      fps: shot.counting.fps,
    };
    return header.map((column) => cells[column] ?? null);
  });

/** One row a finding, then one a note, shot by shot. */
export const findingsCsv = ({ days }: Dailies): string =>
  writeCsv(
    header,
    days.flatMap(({ day, shots }) => shots.flatMap((shot) => [...findingRows(day, shot), ...noteRows(day, shot)])),
  );
