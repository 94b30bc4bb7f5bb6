import type { Progress } from "../pool/check.ts";
import { counted, duration } from "../reports/words.ts";

/** Where progress is shown: a terminal's line is written over, anywhere else gets a line now and then. */
export interface Screen {
  readonly isTTY: boolean;
  readonly columns: number;
  write(text: string): void;
}

const verbs: Readonly<Record<Progress["kind"], string>> = {
  inspect: "Reading the headers of",
  measure: "Measuring",
  prove: "Proving on",
};

const TERMINAL_MS = 100;
const LOG_MS = 15_000;

/** Shows how far a check of `frames` frames is. `now` is in milliseconds; `clear` leaves the terminal's line empty. */
export const createProgressLine = (
  screen: Screen,
  frames: number,
  now: () => number,
): { show: (progress: Progress) => void; clear: () => void } => {
  // A log has no use for a line that says that nothing is done yet.
  let last = screen.isTTY ? Number.NEGATIVE_INFINITY : now();
  let shown = "";
  const clear = (): void => {
    if (screen.isTTY && shown !== "") screen.write(`\r${" ".repeat(shown.length)}\r`);
    shown = "";
  };
  const show = ({ kind, done, total, secondsLeft }: Progress): void => {
    if (now() - last < (screen.isTTY ? TERMINAL_MS : LOG_MS)) return;
    last = now();
    const verb = verbs[kind];
    const percent = total > 0 ? Math.min(100, Math.floor((100 * done) / total)) : 0;
    // While headers are read nobody knows yet how long measuring takes.
    const left =
      kind === "inspect" || secondsLeft === null || secondsLeft < 1 ? "" : `, about ${duration(secondsLeft)} left`;
    const text = `${verb} ${counted(frames, "frame")}: ${percent} %${left}`;
    if (!screen.isTTY) {
      screen.write(`${text}\n`);
      return;
    }
    // A line that wraps can't be written over.
    const line = text.slice(0, Math.max(0, screen.columns - 1));
    screen.write(`\r${line}${" ".repeat(Math.max(0, shown.length - line.length))}`);
    shown = line;
  };
  return { show, clear };
};
