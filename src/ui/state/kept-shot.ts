import {
  freshFlags,
  growPuppets,
  HOLDS_VERSION,
  parseSheet,
  type Report,
  serialiseSheet,
  type Sheet,
  type ShotRecord,
  summariseHolds,
} from "../../model/index.ts";
import { asKept } from "../../store/pack-report.ts";
import type { TextFile } from "../opening/documents.ts";
import { openShot } from "./checking.ts";
import { keep, replace, sawRevision, update } from "./keeping.ts";
import { session } from "./session.ts";
import { listKept, readKept } from "./storage.ts";
import { makeThumbnails } from "./thumbnails.ts";
import { setFresh } from "./verdicts.ts";

// The shot that is open goes into the store as it is: its record once its size is known, its sheet with every edit, its
// report once it is whole.

/** The production that samples belong to. */
const SAMPLES = { id: "samples", name: "Samples" };
const FIRST = "First production";

interface KeptShot {
  readonly id: string | null;
  recorded: boolean;
  report: Report | null;
  sheet: Sheet | null;
  /** The file that the sheet of now was read from, or was last checked by. */
  file: TextFile | null;
  /** True once the store's own sheet of the shot, or that it has none, is known. */
  sheetKnown: boolean;
  production: string | null;
  /** Sheets are written in the order in which they were made. */
  order: Promise<void>;
}
const nothing = (id: string | null): KeptShot => ({
  id,
  recorded: false,
  report: null,
  sheet: null,
  file: null,
  sheetKnown: false,
  production: null,
  order: Promise.resolve(),
});

/** What was written, or came from the store, so that nothing is written twice. */
let kept = nothing(null);

export const now = (): string => new Date().toISOString();

/** This is what the store has of a shot that is opened from it. To be called before the session is set to it. */
export function setKept(id: string, production: string, report: Report | null, sheet: Sheet | null): void {
  kept = { ...nothing(id), recorded: true, report, sheet, sheetKnown: true, production };
}

/** What came from another tab lies in the store already. To be called before the session is set to it. */
export function adopt(what: { readonly sheet?: Sheet; readonly report?: Report }): void {
  if (what.sheet) kept.sheet = what.sheet;
  if (what.report) kept.report = what.report;
}

/** A production of its own for what is moved into none that is there. */
export function makeProduction(name: string): string {
  const [id, at] = [crypto.randomUUID(), now()];
  update("production", id, () => ({ id, name, made: at, changed: at }));
  return id;
}

/** The first production, while it is on its way into the store. */
let first: string | null = null;

/** The production that a new shot goes into: that of the shot that was last open, or the first one. */
export async function productionFor(sample: boolean): Promise<string> {
  const productions = (await listKept("production")).map(({ value }) => value);
  const make = (id: string, name: string) => {
    const at = now();
    if (id !== SAMPLES.id) first = id;
    update("production", id, (there) => (there ? null : { id, name, made: at, changed: at }));
    return id;
  };
  if (sample) return productions.some(({ id }) => id === SAMPLES.id) ? SAMPLES.id : make(SAMPLES.id, SAMPLES.name);
  const own = productions.filter(({ id }) => id !== SAMPLES.id);
  if (own.length === 0) return first ?? make(crypto.randomUUID(), FIRST);
  const shots = (await listKept("shot")).map(({ value }) => value);
  const last = shots
    .filter(({ production }) => own.some(({ id }) => id === production))
    .toSorted((a, b) => ((b.opened ?? b.changed) < (a.opened ?? a.changed) ? -1 : 1))[0];
  return last?.production ?? own[0].id;
}

/** Day of the first exposure that has a time. */
export const dayOf = (report: Report): string | null => {
  const time = report.frames.find((frame) => frame.time !== null)?.time ?? null;
  return time === null ? null : time.slice(0, 10);
};

/** The number of a take that is new: other frames of a shot of the same name in the same production are other takes of it. */
export async function takeFor(name: string, production: string, id: string): Promise<number> {
  const others = (await listKept("shot"))
    .map(({ value }) => value)
    .filter((shot) => shot.name === name && shot.production === production && shot.id !== id);
  return Math.max(0, ...others.map(({ take }) => take)) + 1;
}

/** The record of the shot that is open, with what is known of it now. */
async function recordShot(own: KeptShot): Promise<void> {
  const { id } = own;
  const { report, shot } = session.get();
  const open = openShot();
  if (id === null || report === null || shot === null || open?.known?.id !== id) return;
  const { folder, sequence, known } = open;
  const production =
    (await readKept("shot", id))?.value.production ?? (await productionFor(folder.sample !== undefined));
  own.production = production;
  const at = now();
  const take = await takeFor(shot, production, id);
  const frames = sequence.frames.map(({ frame }) => frame);
  update("shot", id, (there): ShotRecord => {
    const told = {
      name: shot,
      folder: folder.name,
      sequence: sequence.name,
      fps: report.shot.fps,
      width: report.shot.width,
      height: report.shot.height,
      firstFrame: frames[0],
      lastFrame: frames[frames.length - 1],
      frameCount: frames.length,
      fingerprint: known.prints.whole,
      startPrint: known.prints.start,
      sample: folder.sample ?? null,
    };
    const fresh = { id, production, take, shootingDay: null, report: null, made: at, changed: at };
    const changed =
      there !== null && Object.entries(told).some(([key, value]) => there[key as keyof ShotRecord] !== value);
    return { ...fresh, ...there, ...told, opened: at, changed: changed ? at : (there?.changed ?? at) };
  });
  if (folder.handle) {
    const { handle, name } = folder;
    update("place", id, () => ({ id, shot: id, folder: name, handle, changed: at }));
  }
}

/** A report that is whole: of all frames, and of the sheet that is open. */
async function keepReport(id: string, report: Report, sheet: Sheet | null): Promise<void> {
  const before = (await readKept("report", id))?.value.report ?? null;
  const fresh = before === null ? [] : freshFlags(report.flags, before.flags);
  const at = now();
  const rounded = asKept(report);
  replace("report", id, () => ({ id, shot: id, report: rounded, changed: at }));
  replace("holds", id, () => ({ id, shot: id, version: HOLDS_VERSION, holds: summariseHolds(rounded, sheet) }));
  update("shot", id, (there) =>
    there === null ? null : { ...there, report: id, shootingDay: dayOf(report), freshFlags: fresh, changed: at },
  );
  setFresh(id, fresh);
  void makeThumbnails(id, report);
}

/** @param given the file that the sheet was just read from; null: it was edited here */
async function keepSheet(own: KeptShot, sheet: Sheet, given: TextFile | null): Promise<void> {
  const { id, production } = own;
  if (id === null) return;
  const what = `the sheet of ${sheet.shot.name}`;
  const there = await readKept("sheet", id);
  const at = now();
  if (!own.sheetKnown) sawRevision("sheet", id, there?.revision ?? 0);
  own.sheetKnown = true;
  if (given === null) {
    const from = there?.value.from ?? null;
    keep("sheet", { id, shot: id, text: serialiseSheet(sheet), from, edited: true, changed: at }, what);
  } else if (there?.value.text !== given.text) {
    // To the letter, so that the file is known again.
    keep("sheet", { id, shot: id, text: given.text, from: given.sha256, edited: false, changed: at }, what);
  }
  if (production !== null) await keepPuppets(sheet, production, at);
}

/** What a sheet says of puppets goes into the list that all shots of the production share. */
async function keepPuppets(sheet: Sheet, production: string, at: string): Promise<void> {
  const puppets = (await listKept("puppet", { production })).map(({ value }) => value);
  for (const { id: puppet } of growPuppets(puppets, sheet, production, at)) {
    update(
      "puppet",
      puppet,
      (was) => growPuppets(was ? [was] : [], sheet, production, at).find((each) => each.id === puppet) ?? null,
    );
  }
}

/** Puts a shot into another production, and its puppets with it; what is logged of them there stays there too. */
export async function moveShot(shot: ShotRecord, production: string): Promise<void> {
  const at = now();
  if (kept.id === shot.id) kept.production = production;
  update("shot", shot.id, (there) => (there === null ? null : { ...there, production, changed: at }));
  const [sheet, report] = [await readKept("sheet", shot.id), await readKept("report", shot.id)];
  if (sheet === null) return;
  const { width, height } = shot;
  const frames = report?.value.report.shot.frames ?? [];
  const read = parseSheet(sheet.value.text, `the sheet of ${shot.name}`, { frames, width, height });
  if ("sheet" in read) await keepPuppets(read.sheet, production, at);
}

/** Keeps what is open, as long as the page is. */
export function keepShot(): void {
  const look = () => {
    const { id, report, sheet, phase, cancelled, blank, old } = session.get();
    if (id !== kept.id) kept = nothing(id);
    if (id === null) return;
    const own = kept;
    if (!own.recorded && report !== null) {
      own.recorded = true;
      own.order = own.order.then(() => recordShot(own));
    }
    const file = openShot()?.sheet ?? null;
    if (sheet !== own.sheet && sheet !== null && own.recorded) {
      const given = file !== own.file ? file : null;
      own.sheet = sheet;
      own.order = own.order.then(() => keepSheet(own, sheet, given));
    }
    if (own.recorded) own.file = file;
    const isWhole = phase === "checked" && !cancelled && !blank && old === null;
    if (isWhole && report !== null && report !== own.report) {
      own.report = report;
      own.order = own.order.then(() => keepReport(id, report, sheet));
    }
  };
  session.listen(look);
}
