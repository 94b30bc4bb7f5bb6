import { check, createMemory } from "../../client/check.ts";
import { ANALYSIS_WIDTH, SHEET_FILE } from "../../model/conventions.ts";
import {
  type FrameSequence,
  parseSheet,
  type Report,
  serialiseSheet,
  type Sheet,
  shotNameOf,
  type Warning,
} from "../../model/index.ts";
import type { Code, FrameFile } from "../../protocol/index.ts";
import { type TextFile, textFileOf } from "../opening/documents.ts";
import type { PickedFolder } from "../opening/picked.ts";
import { unmeasuredParts } from "../../reports/coverage.ts";
import { stripOfFlag, stripsOf } from "../strips/strips.ts";
import type { KnownFolder } from "./identify.ts";
import { blankReport } from "./blank-report.ts";
import { pictures } from "./pictures.ts";
import { redraws } from "./redraws.ts";
import { addNotice, session } from "./session.ts";
import { view, wholeFrame } from "./view.ts";

/** A shot as it was picked: what a check is started from. */
export interface OpenShot {
  readonly folder: PickedFolder;
  readonly sequence: FrameSequence;
  readonly warnings: readonly Warning[];
  readonly sheet: TextFile | null;
  /** What the store knows it by; left out where nothing is kept. */
  readonly known?: KnownFolder;
}

let open: OpenShot | null = null;
/** The last check that came to its end, and the sheet that it was made with. */
let complete: { readonly sheet: Sheet | null; readonly report: Report } | null = null;
/** What was measured of the open shot, for checks of it with another sheet. */
let memory = createMemory();
/** The sheet of the last check that was begun. */
let lastRead: Sheet | null = null;
let running: AbortController | null = null;
/** Rises with every shot, so that what an earlier one still sends is dropped. */
let turn = 0;

/** Goes to the first finding of a report. */
export function lookAt(report: Report): void {
  const first = stripsOf(report, null).flags[0];
  // Nothing found, but not for want of looking: what could not be measured comes first.
  const blind = first ? undefined : unmeasuredParts(report)[0];
  view.set({
    look: wholeFrame,
    picture: "plain",
    playing: false,
    range: null,
    against: null,
    over: null,
    reading: null,
    flag: first?.id ?? null,
    strip: first ? stripOfFlag(first) : (blind?.part ?? null),
    frame: first?.to ?? blind?.frames[0] ?? report.shot.frames[0] ?? 1,
  });
}

/** How often progress is told, ms. */
const TELL_MS = 80;

const refusalTitles: Partial<Record<Code, string>> = {
  "sheet-refused": "The sheet is refused",
  "nothing-to-check": "There is nothing to check",
  "worker-died": "The check stopped",
  "timed-out": "The check stopped",
};

/** The sheet in a file; the one that is open already where the text is its own, so that its undoing goes on. */
function readOnce(file: TextFile, sequence: FrameSequence): Sheet | null {
  const { sheet } = session.get();
  if (sheet !== null && serialiseSheet(sheet) === file.text) return sheet;
  const frames = sequence.frames.map((each) => each.frame);
  const result = parseSheet(file.text, file.name, { frames, width: null, height: null });
  return "sheet" in result ? result.sheet : null;
}

/** Checks a shot, in place of whatever was open. */
export function start(shot: OpenShot): void {
  stop();
  turn += 1;
  open = shot;
  complete = null;
  memory = createMemory();
  const { folder, sequence, sheet } = shot;
  const sources = new Map(folder.files.map((file) => [file.name, file]));
  const frames = sequence.frames.map(({ frame, file }): FrameFile => {
    const picked = sources.get(file);
    return { frame, file, modified: picked?.modified ?? null, source: picked?.source };
  });
  const read = sheet === null ? null : readOnce(sheet, sequence);
  const name = read?.shot.name ?? shotNameOf(sequence, folder.name);
  pictures.clear();
  redraws.clear();
  session.set({
    phase: "checking",
    shot: name,
    id: shot.known?.id ?? null,
    files: new Map(frames.map((file) => [file.frame, file])),
    choices: [],
    sheet: read,
    old: null,
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
    range: null,
    against: null,
  });

  run(shot, name, frames, read, false);
}

/** The check itself, in the background where results of an earlier sheet stay on the screen until it is through. */
function run(
  { folder, sheet, warnings }: OpenShot,
  name: string,
  frames: readonly FrameFile[],
  read: Sheet | null,
  background: boolean,
): void {
  const own = turn;
  lastRead = read;
  running = new AbortController();
  const { signal } = running;
  const numbers = frames.map((file) => file.frame);
  let told = 0;
  let measured = 0;
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
      warnings,
    },
    {
      signal,
      onSize: (width, height) => {
        if (own === turn && session.get().report === null) {
          showPart(blankReport(name, folder.name, frames, read, width, height), true);
        }
      },
      onProgress: ({ done, total, secondsLeft }) => {
        // What is known already comes in at once, frame after frame: the page need not be drawn for each.
        if (own === turn && (performance.now() - told > TELL_MS || done === total)) {
          told = performance.now();
          session.set({ done, total, secondsLeft, measured });
        }
      },
      onMeasured: (frames) => {
        measured = frames;
      },
      onReport: (report) => {
        if (own === turn && !background) showPart(report, false);
      },
    },
    memory,
  ).then((answer) => {
    if (own !== turn) return;
    running = null;
    if (answer.ok) {
      complete = { sheet: read, report: answer.value };
      session.set({
        phase: "checked",
        secondsLeft: null,
        report: answer.value,
        strips: stripsOf(answer.value, read),
        blank: false,
        old: null,
      });
      const untouched = view.get().flag === null && view.get().strip === null;
      if (!background && untouched && (answer.value.flags.length > 0 || unmeasuredParts(answer.value).length > 0)) {
        lookAt(answer.value);
      }
    } else if (background) {
      // The old results stay, and say so.
      session.set({ phase: "checked", secondsLeft: null });
      if (answer.code !== "cancelled")
        addNotice(refusalTitles[answer.code] ?? "The check failed", linesOf(answer.detail));
    } else if (answer.code === "cancelled") {
      if (session.get().blank) session.set({ report: null, strips: null, blank: false });
      const { report } = session.get();
      const last = report?.frames.at(-1)?.frame ?? null;
      session.set({
        phase: "checked",
        cancelled: true,
        secondsLeft: null,
        ...(report && last !== null ? { strips: stripsOf(report, read, true, last) } : {}),
      });
    } else {
      if (session.get().blank) session.set({ report: null, strips: null, blank: false });
      session.set({
        phase: "failed",
        secondsLeft: null,
        failure: {
          id: answer.code,
          title: refusalTitles[answer.code] ?? "The check failed",
          lines: linesOf(answer.detail),
        },
      });
    }
  });
}

const linesOf = (detail: string): string[] => detail.split("\n").filter((line) => line !== "");

/** Time without another edit after which a changed sheet is checked, ms: several edits in a row are one. */
const REST_MS = 700;
let waiting: ReturnType<typeof setTimeout> | undefined;

/** The sheet was changed: what is being checked by an earlier one ends, and the shot is checked again in a moment. */
export function checkSoon(): void {
  clearTimeout(waiting);
  stop();
  const own = turn;
  if (session.get().phase === "checking") session.set({ phase: "checked", secondsLeft: null });
  const { report, sheet } = session.get();
  if (complete !== null && complete.sheet === sheet) {
    // Undone: the report that is there already is this sheet's.
    session.set({ report: complete.report, strips: stripsOf(complete.report, sheet), old: null, cancelled: false });
    return;
  }
  if (report !== null) waiting = setTimeout(() => void checkNow(own), REST_MS);
}

/** Checks the shot with the sheet as it is now; the results that are there stay until the new ones are. */
async function checkNow(own: number): Promise<void> {
  const { sheet, files, shot } = session.get();
  if (open === null || files === null || shot === null || own !== turn) return;
  const text = sheet === null ? null : serialiseSheet(sheet);
  const file = text === null ? null : await textFileOf(open.sheet?.name ?? SHEET_FILE, text);
  if (own !== turn) return;
  open = { ...open, sheet: file };
  turn += 1;
  const background = complete !== null && !session.get().blank;
  if (!background) {
    const { report } = session.get();
    const blank =
      report && blankReport(shot, open.folder.name, [...files.values()], sheet, report.shot.width, report.shot.height);
    session.set({ report: blank, strips: blank && stripsOf(blank, sheet, true), blank: blank !== null, old: null });
  }
  session.set({ phase: "checking", done: 0, total: files.size, measured: 0, secondsLeft: null, cancelled: false });
  run(open, shot, [...files.values()], sheet, background);
}

/** Ends whatever is being checked, and drops what it still sends. */
function stop(): void {
  clearTimeout(waiting);
  turn += 1;
  running?.abort();
  running = null;
}

/** Nothing is open for checking any more, as when a report takes the place of a shot. */
export function closeShot(): void {
  stop();
  open = null;
  complete = null;
}

/** The frames of a shot that was opened from the store: from here on it can be checked again. */
export function attachShot(shot: OpenShot): void {
  open = shot;
  const { report, sheet, blank } = session.get();
  lastRead = sheet;
  if (report !== null && !blank) complete = { sheet, report };
  const sources = new Map(shot.folder.files.map((file) => [file.name, file]));
  const files = shot.sequence.frames.map(({ frame, file }): FrameFile => {
    const picked = sources.get(file);
    return { frame, file, modified: picked?.modified ?? null, source: picked?.source };
  });
  session.set({ files: new Map(files.map((file) => [file.frame, file])) });
}

export const openShot = (): OpenShot | null => open;

/** Ends the check; what is measured until then stays. */
export function cancelCheck(): void {
  running?.abort();
}

export function checkAgain(): void {
  if (open === null) return;
  if (session.get().sheet === lastRead) {
    start(open);
    return;
  }
  // The sheet was changed since: it is that one that is checked, and what is there stays until then.
  stop();
  void checkNow(turn);
}

/** Without a sheet the parts that move are found in the pictures. */
export function checkWithoutSheet(): void {
  if (open) start({ ...open, sheet: null });
}

export const canCheckAgain = (): boolean => open !== null;
export const hasSheetFile = (): boolean => open !== null && open.sheet !== null;
