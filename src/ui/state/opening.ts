import { chooseSequence, findSequences, parseReport, parseSheet } from "../../model/index.ts";
import { counted } from "../../reports/words.ts";
import { documentsAmong, type TextFile } from "../opening/documents.ts";
import { pickFile, pickFolder } from "../opening/pick.ts";
import type { PickedFolder } from "../opening/picked.ts";
import { fetchSample } from "../opening/sample.ts";
import { stripsOf } from "../strips/strips.ts";
import { closeShot, lookAt, openShot, type OpenShot, start } from "./checking.ts";
import { readImport } from "./exchange.ts";
import { identify } from "./identify.ts";
import { identifyReport } from "./identify-report.ts";
import { pictures } from "./pictures.ts";
import { redraws } from "./redraws.ts";
import { addNotice, session } from "./session.ts";

/** A folder of several sequences, until a person has said which one. */
let waiting: { readonly folder: PickedFolder; readonly sheet: TextFile | null } | null = null;
const said = (error: unknown) => (error instanceof Error ? error.message : String(error));

async function guarded(work: () => Promise<void>): Promise<void> {
  const { phase } = session.get();
  try {
    await work();
  } catch (error) {
    if (session.get().phase === "reading") session.set({ phase: phase === "reading" ? "empty" : phase });
    addNotice("That could not be opened", [said(error)]);
  }
}

export const openFolder = (): Promise<void> =>
  guarded(async () => {
    const folder = await pickFolder();
    if (folder) await take(folder);
  });

export const openFile = (): Promise<void> =>
  guarded(async () => {
    const folder = await pickFile();
    if (folder) await take(folder);
  });

export const openSample = (folder: string): Promise<void> =>
  guarded(async () => {
    session.set({ phase: "reading" });
    await take(await fetchSample(folder));
  });

export const openDropped = (folder: Promise<PickedFolder>): Promise<void> => guarded(async () => take(await folder));

/** Checks a shot, once it is known which one of the store it is. */
async function begin(shot: OpenShot): Promise<void> {
  const known = await identify(shot.folder, shot.sequence, shot.sheet).catch((error: unknown) => {
    // The check says itself which frame can't be read; it is only not kept.
    addNotice("This shot isn't kept", [said(error)]);
    return null;
  });
  start(known === null ? shot : { ...shot, sheet: known.sheet, known });
}

/** Opens whatever was given: a folder of frames, a sheet for the shot that is open, a report. */
async function take(folder: PickedFolder): Promise<void> {
  const zip = folder.files.find(({ name }) => /\.zip$/iu.test(name));
  if (zip && folder.files.length === 1) {
    await readImport(zip);
    return;
  }
  const { sheets, reports, others } = await documentsAmong(folder.files);
  const found = findSequences(folder.files.map((file) => file.name));
  const sheet = sheets[0] ?? null;
  if (sheets.length > 1) {
    addNotice("More than one sheet", [
      `${sheets[0].name} is used; not used: ${sheets
        .slice(1)
        .map((each) => each.name)
        .join(", ")}.`,
    ]);
  }
  if (found.sequences.length > 0) {
    if (found.sequences.length === 1)
      await begin({ folder, sequence: found.sequences[0], warnings: found.sequences[0].warnings, sheet });
    else {
      waiting = { folder, sheet };
      session.set({
        choices: found.sequences.map(({ name, frames }) => ({
          name,
          count: frames.length,
          first: frames[0].frame,
          last: frames[frames.length - 1].frame,
        })),
      });
    }
    return;
  }
  if (reports.length > 0) {
    openReport(reports[0], sheet);
    return;
  }
  if (sheet) {
    takeSheet(sheet);
    return;
  }
  settle();
  if (others.length > 0 && others.length === folder.files.length) {
    addNotice("That can't be opened", [`${others.join(", ")}: neither a sheet nor a report of Holdfast.`]);
  } else if (folder.files.length === 0) addNotice("Nothing to check", ["There is no file in this folder."]);
  else {
    addNotice(folder.name ? `Nothing to check in ${folder.name}` : "Nothing to check", [
      `No numbered frames (name_0001.jpg or .png) among ${counted(folder.files.length, "file")}.`,
    ]);
  }
}

/** Back from reading to what was there before. */
function settle(): void {
  if (session.get().phase === "reading") session.set({ phase: session.get().report ? "checked" : "empty" });
}

/** The longest sequence is offered first. */
export function chooseShot(name: string): void {
  if (!waiting) return;
  const { folder, sheet } = waiting;
  const chosen = chooseSequence(findSequences(folder.files.map((file) => file.name)), name);
  chooseNoShot();
  if ("error" in chosen) addNotice("That sequence is gone", [chosen.error]);
  else void guarded(() => begin({ folder, sequence: chosen.sequence, warnings: chosen.warnings, sheet }));
}

export function chooseNoShot(): void {
  waiting = null;
  session.set({ choices: [] });
}

function takeSheet(sheet: TextFile): void {
  const { report } = session.get();
  const shot = openShot();
  if (shot) {
    start({ ...shot, sheet });
    return;
  }
  if (report) {
    const read = parseSheet(sheet.text, sheet.name, {
      frames: report.shot.frames,
      width: report.shot.width,
      height: report.shot.height,
    });
    if ("refusals" in read) addNotice(`${sheet.name} is refused`, read.refusals);
    else session.set({ sheet: read.sheet, strips: stripsOf(report, read.sheet) });
    return;
  }
  addNotice("A sheet alone", [`${sheet.name} is a sheet. Open the folder of its frames, then drop it here.`]);
}

function openReport(file: TextFile, sheet: TextFile | null): void {
  const read = parseReport(file.text, file.name);
  if ("refusals" in read) {
    addNotice(`${file.name} is refused`, read.refusals);
    settle();
    return;
  }
  closeShot();
  pictures.clear();
  redraws.clear();
  const { report } = read;
  session.set({
    phase: "checked",
    shot: report.shot.name,
    id: null,
    files: null,
    sheet: null,
    report,
    strips: stripsOf(report, null),
    blank: false,
    cancelled: false,
    failure: null,
    notices: [],
  });
  lookAt(report);
  if (sheet) takeSheet(sheet);
  void identifyReport(report);
}
