import { check } from "../../client/check.ts";
import { ANALYSIS_WIDTH } from "../../model/conventions.ts";
import {
  type FrameSequence,
  parseSheet,
  type Report,
  type Sheet,
  shotNameOf,
  type Warning,
} from "../../model/index.ts";
import type { Code, FrameFile } from "../../protocol/index.ts";
import type { TextFile } from "../opening/documents.ts";
import type { PickedFolder } from "../opening/picked.ts";
import { unmeasuredParts } from "../../reports/coverage.ts";
import { stripOfFlag, stripsOf } from "../strips/strips.ts";
import { blankReport } from "./blank-report.ts";
import { pictures } from "./pictures.ts";
import { session } from "./session.ts";
import { view, wholeFrame } from "./view.ts";

/** A shot as it was picked: what a check is started from. */
export interface OpenShot {
  readonly folder: PickedFolder;
  readonly sequence: FrameSequence;
  readonly warnings: readonly Warning[];
  readonly sheet: TextFile | null;
}

let open: OpenShot | null = null;
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
    over: null,
    reading: null,
    flag: first?.id ?? null,
    strip: first ? stripOfFlag(first) : (blind?.part ?? null),
    frame: first?.to ?? blind?.frames[0] ?? report.shot.frames[0] ?? 1,
  });
}

const refusalTitles: Partial<Record<Code, string>> = {
  "sheet-refused": "The sheet is refused",
  "nothing-to-check": "There is nothing to check",
  "worker-died": "The check stopped",
  "timed-out": "The check stopped",
};

/** Checks a shot, in place of whatever was open. */
export function start(shot: OpenShot): void {
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
      const untouched = view.get().flag === null && view.get().strip === null;
      if (untouched && (answer.value.flags.length > 0 || unmeasuredParts(answer.value).length > 0)) {
        lookAt(answer.value);
      }
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
          lines: answer.detail.split("\n").filter((line) => line !== ""),
        },
      });
    }
  });
}

/** Ends whatever is being checked, and drops what it still sends. */
function stop(): void {
  turn += 1;
  running?.abort();
  running = null;
}

/** Nothing is open for checking any more, as when a report takes the place of a shot. */
export function closeShot(): void {
  stop();
  open = null;
}

export const openShot = (): OpenShot | null => open;

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
