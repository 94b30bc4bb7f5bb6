import { check } from "../../client/check.ts";
import {
  chooseSequence,
  findSequences,
  type FrameSequence,
  parseReport,
  parseSheet,
  type Report,
  type Sheet,
  serialiseReport,
  serialiseSheet,
  shotNameOf,
  type Warning,
} from "../../model/index.ts";
import type { Code, FrameFile } from "../../protocol/index.ts";
import { documentsAmong, type TextFile } from "../opening/documents.ts";
import { pickFile, pickFolder } from "../opening/pick.ts";
import type { PickedFolder } from "../opening/picked.ts";
import { fetchSample } from "../opening/sample.ts";
import { saveText } from "../opening/save.ts";
import { stripsOf } from "../strips/strips.ts";
import { pictures } from "./pictures.ts";
import { blankReport } from "./blank-report.ts";
import { counted } from "../../reports/words.ts";
import { addNotice, session } from "./session.ts";
import { view, wholeFrame } from "./view.ts";

/** Widest that frames are analysed, px. */
const ANALYSIS_WIDTH = 1920;

/** The shot that is open, as it was picked: what a check is started from. */
interface Open {
  readonly folder: PickedFolder;
  readonly sequence: FrameSequence;
  readonly warnings: readonly Warning[];
  readonly sheet: TextFile | null;
}

let open: Open | null = null;
let waiting: { readonly folder: PickedFolder; readonly sheet: TextFile | null } | null = null;
let running: AbortController | null = null;
/** Rises with every shot, so that what an earlier one still sends is dropped. */
let turn = 0;

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

/** Opens whatever was given: a folder of frames, a sheet for the shot that is open, a report. */
async function take(folder: PickedFolder): Promise<void> {
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
      start({ folder, sequence: found.sequences[0], warnings: found.sequences[0].warnings, sheet });
    else {
      waiting = { folder, sheet };
      stop();
      session.set({
        phase: "choosing",
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
  waiting = null;
  if ("error" in chosen) addNotice("That sequence is gone", [chosen.error]);
  else start({ folder, sequence: chosen.sequence, warnings: chosen.warnings, sheet });
}

export function chooseNoShot(): void {
  waiting = null;
  session.set({ phase: session.get().report ? "checked" : "empty", choices: [] });
}

function takeSheet(sheet: TextFile): void {
  const { report } = session.get();
  if (open) {
    start({ ...open, sheet });
    return;
  }
  if (report) {
    const read = parseSheet(sheet.text, sheet.name, {
      frames: report.shot.frames,
      width: report.shot.width,
      height: report.shot.height,
    });
    if ("refusals" in read) addNotice(`${sheet.name} is refused`, read.refusals);
    else session.set({ sheet: read.sheet, sheetText: sheet.text, strips: stripsOf(report, read.sheet) });
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
  stop();
  open = null;
  pictures.clear();
  const { report } = read;
  session.set({
    phase: "checked",
    shot: report.shot.name,
    files: null,
    sheet: null,
    sheetText: null,
    report,
    strips: stripsOf(report, null),
    blank: false,
    cancelled: false,
    failure: null,
    notices: [],
  });
  lookAt(report);
  if (sheet) takeSheet(sheet);
}

function lookAt(report: Report): void {
  const first = stripsOf(report, null).flags[0];
  view.set({
    look: wholeFrame,
    picture: "plain",
    playing: false,
    over: null,
    reading: null,
    flag: first?.id ?? null,
    strip: first ? (first.part ?? null) : null,
    frame: first?.to ?? report.shot.frames[0] ?? 1,
  });
}

const refusalTitles: Partial<Record<Code, string>> = {
  "sheet-refused": "The sheet is refused",
  "nothing-to-check": "There is nothing to check",
  "worker-died": "The check stopped",
  "timed-out": "The check stopped",
};

function start(shot: Open): void {
  stop();
  turn += 1;
  const own = turn;
  open = shot;
  const { folder, sequence, sheet } = shot;
  const sources = new Map(folder.files.map((file) => [file.name, file]));
  const frames = sequence.frames.map(({ frame, file }): FrameFile => {
    const picked = sources.get(file);
    return { frame, file, modified: picked?.modified ?? null, source: picked?.source };
  });
  let read: Sheet | null = null;
  if (sheet) {
    const result = parseSheet(sheet.text, sheet.name, {
      frames: sequence.frames.map((each) => each.frame),
      width: null,
      height: null,
    });
    if ("sheet" in result) read = result.sheet;
  }
  const name = read?.shot.name ?? shotNameOf(sequence, folder.name);
  pictures.clear();
  session.set({
    phase: "checking",
    shot: name,
    files: new Map(frames.map((file) => [file.frame, file])),
    choices: [],
    sheet: read,
    sheetText: sheet?.text ?? null,
    report: null,
    strips: null,
    blank: false,
    done: 0,
    total: frames.length,
    measured: 0,
    secondsLeft: null,
    cancelled: false,
    failure: null,
    notices: [],
  });
  view.set({
    frame: frames[0].frame,
    look: wholeFrame,
    picture: "plain",
    strip: null,
    flag: null,
    over: null,
    reading: null,
    playing: false,
  });

  running = new AbortController();
  const { signal } = running;
  const numbers = frames.map((file) => file.frame);
  /** As far as it goes: every frame keeps its place on the timeline, measured or not. */
  const showPart = (report: Report, blank: boolean) => {
    const whole = { ...report, shot: { ...report.shot, frames: numbers } };
    session.set({ report: whole, strips: stripsOf(whole, read, true), blank });
  };
  void check(
    {
      shot: name,
      folder: folder.name,
      frames,
      sheetText: sheet?.text ?? null,
      sheetFile: sheet?.name ?? null,
      sheetSha256: sheet?.sha256 ?? null,
      bandPx: null,
      analysisWidth: ANALYSIS_WIDTH,
      warnings: shot.warnings,
    },
    {
      signal,
      onSize: (width, height) => {
        if (own === turn && session.get().report === null) {
          showPart(blankReport(name, folder.name, frames, read, width, height), true);
        }
      },
      onProgress: ({ done, total, secondsLeft }) => {
        if (own === turn) session.set({ done, total, secondsLeft });
      },
      onMeasured: (measured) => {
        if (own === turn) session.set({ measured });
      },
      onReport: (report) => {
        if (own === turn) showPart(report, false);
      },
    },
  ).then((answer) => {
    if (own !== turn) return;
    running = null;
    if (answer.ok) {
      session.set({
        phase: "checked",
        secondsLeft: null,
        report: answer.value,
        strips: stripsOf(answer.value, read),
        blank: false,
      });
      if (view.get().flag === null && view.get().strip === null && answer.value.flags.length > 0) lookAt(answer.value);
    } else if (answer.code === "cancelled") {
      if (session.get().blank) session.set({ report: null, strips: null, blank: false });
      session.set({ phase: "checked", cancelled: true, secondsLeft: null });
    } else {
      if (session.get().blank) session.set({ report: null, strips: null, blank: false });
      session.set({
        phase: "failed",
        secondsLeft: null,
        failure: {
          id: answer.code,
          title: refusalTitles[answer.code] ?? "The check failed",
          lines: answer.detail.split("\n").filter((line) => line !== ""),
        },
      });
    }
  });
}

function stop(): void {
  turn += 1;
  running?.abort();
  running = null;
}

/** Ends the check; what is measured until then stays. */
export function cancelCheck(): void {
  running?.abort();
}

export function checkAgain(): void {
  if (open) start(open);
}

/** Without a sheet the parts that move are found in the pictures. */
export function checkWithoutSheet(): void {
  if (open) start({ ...open, sheet: null });
}

export const canCheckAgain = (): boolean => open !== null;
export const hasSheetFile = (): boolean => open !== null && open.sheet !== null;

const fileName = (kind: string) => `${(session.get().shot ?? "shot").replace(/[^\w.-]+/gu, "_")}.${kind}.json`;

export function saveReport(): void {
  const { report } = session.get();
  if (report) saveText(fileName("report"), serialiseReport(report));
}

export function saveSheet(): void {
  const { sheet } = session.get();
  if (sheet) saveText(fileName("sheet"), serialiseSheet(sheet));
}
