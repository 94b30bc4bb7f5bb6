import type { Report, Sheet } from "../../model/index.ts";
import type { FrameFile } from "../../protocol/index.ts";
import type { Strips } from "../strips/strips.ts";
import { createStore } from "./store.ts";

/** What was refused or has to be known: a title, and sentences that name the file and the reason. */
export interface Notice {
  readonly id: string;
  readonly title: string;
  readonly lines: readonly string[];
}

export interface SequenceChoice {
  readonly name: string;
  readonly count: number;
  readonly first: number;
  readonly last: number;
}

export type Phase = "empty" | "reading" | "checking" | "checked" | "failed";

interface Session {
  readonly phase: Phase;
  readonly shot: string | null;
  /** Id of the shot in the store; null where nothing is open, or nothing is kept. */
  readonly id: string | null;
  /** Frames of the shot by number; null where a report was opened without them. */
  readonly files: ReadonlyMap<number, FrameFile> | null;
  /** Sequences of a folder that was opened, until a person has said which one; empty where there is no question. */
  readonly choices: readonly SequenceChoice[];
  /** The sheet as it is now. Changed by putSheet (state/sheet.ts) alone, and set where a shot is opened. */
  readonly sheet: Sheet | null;
  /** Strips whose results are of an earlier sheet, until the check with this one is through; null: the report is this sheet's. */
  readonly old: ReadonlySet<string> | null;
  readonly report: Report | null;
  readonly strips: Strips | null;
  /** True while the report holds no more than what the sheet says: nothing is measured yet. */
  readonly blank: boolean;
  /** Steps of work, of which a frame has several. */
  readonly done: number;
  readonly total: number;
  /** Frames that are measured. */
  readonly measured: number;
  /** Null while it can't be told. */
  readonly secondsLeft: number | null;
  /** True where a check was cancelled: what is there is what was measured until then. */
  readonly cancelled: boolean;
  /** Why the check failed; null but for the phase "failed". */
  readonly failure: Notice | null;
  readonly notices: readonly Notice[];
}

/** The shot that is open. Pictures are not in here: they are asked for by frame (see client/pictures.ts). */
export const session = createStore<Session>({
  phase: "empty",
  shot: null,
  id: null,
  files: null,
  choices: [],
  sheet: null,
  old: null,
  report: null,
  strips: null,
  blank: false,
  done: 0,
  total: 0,
  measured: 0,
  secondsLeft: null,
  cancelled: false,
  failure: null,
  notices: [],
});

/** Tells people something that stays until they put it away; what has the same title joins it. */
export const addNotice = (title: string, lines: readonly string[]): void => {
  const { notices } = session.get();
  const same = notices.find((notice) => notice.title === title);
  const all = [...new Set([...(same?.lines ?? []), ...lines])].filter((line) => line !== "");
  session.set({ notices: [...notices.filter((notice) => notice !== same), { id: title, title, lines: all }] });
};

export const dropNotice = (id: string): void =>
  session.set({ notices: session.get().notices.filter((notice) => notice.id !== id) });
