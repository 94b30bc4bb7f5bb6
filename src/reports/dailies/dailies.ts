import {
  carryVerdicts,
  type Flag,
  type Note,
  type Report,
  type ReportPart,
  type Sheet,
  type Verdict,
  type VerdictChoice,
} from "../../model/index.ts";
import type { FrameNumber } from "../../units/index.ts";
import { type Unmeasured, unmeasuredParts } from "../coverage.ts";
import { type Department, departmentOf } from "./department.ts";
import { type Counting, countingOf, type Span, spanOf } from "./span.ts";

// The notes for dailies: what was found in each shot of each shooting day, and what people decided about it. All other
// files of this folder write down what this one gathers.

/** One shot, or one take of it, with what is known and what was said about it. */
export interface DailiesSource {
  /** Of the shot in the store, or its file. */
  readonly id: string;
  readonly report: Report;
  readonly sheet: Sheet | null;
  readonly verdicts: readonly Verdict[];
  readonly notes: readonly Note[];
  /** Null where only one is known of. */
  readonly take: number | null;
  /** Day of the first exposure, "2026-03-02", for frames that carry no time of their own. */
  readonly shootingDay: string | null;
}

/** "open": nobody has decided yet. */
export type VerdictState = VerdictChoice | "open";

/** What is wanted; null: everything. */
export interface DailiesFilter {
  /** Takes in what lies outside the cut too. */
  readonly wholeShot: boolean;
  readonly verdicts: ReadonlySet<VerdictState> | null;
  readonly departments: ReadonlySet<Department> | null;
}

export const everything: DailiesFilter = { wholeShot: false, verdicts: null, departments: null };

export interface Finding {
  readonly flag: Flag;
  /** Null for camera, light and what lies outside every outline. */
  readonly part: ReportPart | null;
  readonly department: Department;
  /** What was decided; of one that has grown since, what was decided then. */
  readonly verdict: Verdict | null;
  readonly state: VerdictState;
  /** It was judged, has grown since beyond its uncertainty, and is open again. */
  readonly grown: boolean;
  readonly span: Span;
}

export interface DailiesNote {
  readonly note: Note;
  readonly part: ReportPart | null;
  /** Null for one about the whole shot. */
  readonly span: Span | null;
}

/** What one shooting day has to tell of one shot. */
export interface DailiesShot {
  readonly source: DailiesSource;
  readonly name: string;
  readonly take: number | null;
  readonly counting: Counting;
  /** The frames of that day. */
  readonly span: Span;
  readonly frames: readonly FrameNumber[];
  readonly cut: Span | null;
  readonly findings: readonly Finding[];
  readonly notes: readonly DailiesNote[];
  /** Findings that are not listed: they lie outside the cut, or the filter left them out. */
  readonly outsideCut: number;
  readonly filteredOut: number;
  /** Parts of which nothing can be said in many frames. */
  readonly unmeasured: readonly Unmeasured[];
}

export interface DailiesDay {
  /** "2026-03-02"; null where no capture time is known. */
  readonly day: string | null;
  readonly shots: readonly DailiesShot[];
}

export interface Dailies {
  readonly days: readonly DailiesDay[];
  readonly filter: DailiesFilter;
}

const overlap = (a: { readonly from: number; readonly to: number }, from: number, to: number): boolean =>
  a.from <= to && a.to >= from;

/** The day on which each frame was taken; one without a time was taken on the day of the one before it. */
const daysOf = ({ report, shootingDay }: DailiesSource): ReadonlyMap<FrameNumber, string | null> => {
  const times = new Map(report.frames.map(({ frame, time }) => [frame, time?.slice(0, 10) ?? null] as const));
  const days = new Map<FrameNumber, string | null>();
  let last = shootingDay ?? report.shot.frames.map((frame) => times.get(frame)).find((day) => day != null) ?? null;
  for (const frame of report.shot.frames) {
    last = times.get(frame) ?? last;
    days.set(frame, last);
  }
  return days;
};

/** A part of the report, by its id. */
const partOf = (report: Report, id: string | null): ReportPart | null =>
  report.parts.find((part) => part.id === id) ?? null;

const shotsByDay = (source: DailiesSource, filter: DailiesFilter): readonly [string | null, DailiesShot][] => {
  const { report, sheet, verdicts, take } = source;
  const counting = countingOf(report, sheet);
  const cut = sheet?.shot.cut ?? report.shot.cut ?? null;
  const isInCut = (from: number, to: number) =>
    filter.wholeShot || cut === null || overlap({ from, to }, cut[0], cut[1]);
  const days = daysOf(source);
  const first = days.get(report.shot.frames[0]) ?? source.shootingDay;
  const dayAt = (frame: FrameNumber) => days.get(frame) ?? first;
  const unmeasured = unmeasuredParts(report).filter((part) => part.tooMany);
  const judged = carryVerdicts(report.flags, verdicts);
  const all = report.flags.map((flag): Finding => {
    const part = partOf(report, flag.part);
    const known = judged.get(flag.id);
    const grown = known?.state === "worse";
    return {
      flag,
      part,
      department: departmentOf(flag, part),
      verdict: known?.verdict ?? null,
      state: known === undefined || grown ? "open" : known.verdict.choice,
      grown,
      span: spanOf(counting, flag.from, flag.to),
    };
  });
  const notes = source.notes
    .filter(({ frame }) => frame === null || isInCut(frame, frame))
    .toSorted((a, b) => (a.frame ?? -1) - (b.frame ?? -1));
  return [...new Set([first, ...days.values()])].map((day) => {
    const frames = report.shot.frames.filter((frame) => dayAt(frame) === day);
    const own = all.filter(({ flag }) => dayAt(flag.from) === day);
    const inCut = own.filter(({ flag }) => isInCut(flag.from, flag.to));
    const wanted = inCut.filter(
      ({ state, department }) => (filter.verdicts?.has(state) ?? true) && (filter.departments?.has(department) ?? true),
    );
    const shot: DailiesShot = {
      source,
      name: report.shot.name,
      take,
      counting,
      frames,
      span: spanOf(counting, frames[0] ?? report.shot.frames[0], frames.at(-1) ?? report.shot.frames[0]),
      cut: cut === null ? null : spanOf(counting, cut[0], cut[1]),
      findings: wanted.toSorted((a, b) => a.flag.from - b.flag.from || a.flag.to - b.flag.to),
      notes: notes
        .filter(({ frame }) => (frame === null ? first : dayAt(frame)) === day)
        .map((note) => ({
          note,
          part: partOf(report, note.part),
          span: note.frame === null ? null : spanOf(counting, note.frame, note.frame),
        })),
      outsideCut: own.length - inCut.length,
      filteredOut: inCut.length - wanted.length,
      unmeasured,
    };
    return [day, shot];
  });
};

const byName = new Intl.Collator("en", { numeric: true });

/**
 * Sorts shots into shooting days and picks what is asked for. A finding stands on the day on which its first frame was
 * taken; a shot that went on over several days stands on each of them. Days without a date come last.
 */
export const gatherDailies = (sources: readonly DailiesSource[], filter: DailiesFilter = everything): Dailies => {
  const rows = sources.filter(({ report }) => report.shot.frames.length > 0).flatMap((one) => shotsByDay(one, filter));
  const days = [...new Set(rows.map(([day]) => day))].toSorted((a, b) => ((a ?? "~") < (b ?? "~") ? -1 : 1));
  return {
    filter,
    days: days.map((day) => ({
      day,
      shots: rows
        .flatMap(([on, shot]) => (on === day ? [shot] : []))
        .toSorted((a, b) => byName.compare(a.name, b.name) || (a.take ?? 0) - (b.take ?? 0)),
    })),
  };
};
