import { type Note, parseSheet, type Sheet, type ShotRecord } from "../../model/index.ts";
import type { DailiesSource } from "../../reports/dailies/dailies.ts";
import type { FrameNumber } from "../../units/index.ts";
import { nightReports } from "../bench/night-reports.ts";
import { drop, keep, sawRevision } from "../state/keeping.ts";
import { dayOf } from "../state/kept-shot.ts";
import { listKept, opened, readKept } from "../state/storage.ts";
import { createStore } from "../state/store.ts";
import { dailiesView } from "./dailies-state.ts";

interface DailiesData {
  readonly phase: "asking" | "ready";
  /** Days on which something was shot, the latest first; null: not known. */
  readonly days: readonly (string | null)[];
  /** The day whose shots are here; undefined: every one. */
  readonly day: string | null | undefined;
  readonly sources: readonly DailiesSource[];
}

/** The shots of the day that is looked at, as the notes want them. */
export const dailiesData = createStore<DailiesData>({ phase: "asking", days: [], day: null, sources: [] });

/** Latest first; days that aren't known at the end. */
const sortDays = (days: readonly (string | null)[]): readonly (string | null)[] =>
  [...new Set(days)].toSorted((a, b) => ((a ?? "") < (b ?? "") ? 1 : -1));

async function sheetOf(record: ShotRecord, frames: readonly FrameNumber[]): Promise<Sheet | null> {
  const kept = await readKept("sheet", record.id);
  if (kept === null) return null;
  const { width, height, name } = record;
  const read = parseSheet(kept.value.text, `the sheet of ${name}`, { frames, width, height });
  return "sheet" in read ? read.sheet : null;
}

async function sourceOf(record: ShotRecord): Promise<DailiesSource | null> {
  const { id } = record;
  const report = (await readKept("report", id))?.value.report ?? null;
  if (report === null) return null;
  const [sheet, verdicts, notes] = await Promise.all([
    sheetOf(record, report.shot.frames),
    listKept("verdict", { shot: id }),
    listKept("note", { shot: id }),
  ]);
  for (const { value, revision } of notes) sawRevision("note", value.id, revision);
  return {
    id,
    report,
    sheet,
    verdicts: verdicts.map(({ value }) => value),
    notes: notes.map(({ value }) => value),
    take: record.take > 1 ? record.take : null,
    shootingDay: record.shootingDay,
  };
}

let asked = 0;

/** Reads the shots of the day that is chosen: never more, a production has hundreds. */
async function ask(): Promise<void> {
  asked += 1;
  const own = asked;
  const records = (await listKept("shot")).map(({ value }) => value).filter(({ report }) => report !== null);
  const night = nightReports.get().reports;
  const known = new Set(records.map(({ folder, name }) => `${folder} ${name}`));
  const others = night.filter(({ folder, shotName }) => !known.has(`${folder} ${shotName}`));
  const days = sortDays([
    ...records.map(({ shootingDay }) => shootingDay),
    ...others.map(({ report }) => dayOf(report)),
  ]);
  const { day: wanted } = dailiesView.get();
  const day =
    wanted === "all"
      ? undefined
      : wanted === "unknown"
        ? null
        : days.some((each) => each === wanted)
          ? wanted
          : (days[0] ?? null);
  const isWanted = (on: string | null) => day === undefined || on === day;
  const kept: DailiesSource[] = [];
  for (const record of records.filter(({ shootingDay }) => isWanted(shootingDay))) {
    const source = await sourceOf(record);
    if (own !== asked) return;
    if (source !== null) kept.push(source);
  }
  const taken = others
    .filter(({ report }) => isWanted(dayOf(report)))
    .map(
      ({ id, report }): DailiesSource => ({
        id,
        report,
        sheet: null,
        verdicts: [],
        notes: [],
        take: null,
        shootingDay: null,
      }),
    );
  dailiesData.set({ phase: "ready", days, day, sources: [...kept, ...taken] });
}

let followed = false;
let timer: ReturnType<typeof setTimeout> | undefined;
const later = () => {
  clearTimeout(timer);
  timer = setTimeout(() => void ask(), 60);
};

/** Reads the store for the notes, and follows it and what is chosen from then on. */
export function followDailies(): void {
  if (followed) return later();
  followed = true;
  void ask();
  nightReports.listen(later);
  let { day } = dailiesView.get();
  dailiesView.listen(() => {
    if (dailiesView.get().day === day) return;
    day = dailiesView.get().day;
    later();
  });
  void opened.then((store) =>
    store?.listen((touched) => {
      const kinds = ["shot", "report", "sheet", "verdict", "note"];
      if (touched.length === 0 || touched.some(({ kind }) => kinds.includes(kind))) later();
    }),
  );
}

const setNotes = (shot: string, change: (notes: readonly Note[]) => readonly Note[]): void =>
  dailiesData.set({
    sources: dailiesData
      .get()
      .sources.map((source) => (source.id === shot ? { ...source, notes: change(source.notes) } : source)),
  });

export function addNote(entered: Pick<Note, "shot" | "frame" | "part" | "text" | "who">): void {
  const at = new Date().toISOString();
  const note: Note = { id: crypto.randomUUID(), made: at, changed: at, ...entered };
  keep("note", note, `a note on ${note.shot}`);
  setNotes(note.shot, (notes) => [...notes, note]);
}

export function removeNote({ id, shot }: Note): void {
  drop("note", id, `a note on ${shot}`);
  setNotes(shot, (notes) => notes.filter((note) => note.id !== id));
}
