import { verdictLabels } from "../../model/index.ts";
import { counted, fixed, titled } from "../words.ts";
import { type Dailies, type DailiesShot, type Finding, type VerdictState } from "./dailies.ts";
import { stretch } from "./span.ts";

// What every written form of the notes says in the same words.

export const verdictWords = (state: VerdictState): string => (state === "open" ? "open" : verdictLabels[state]);

const weekdays = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];

/** "2026-03-02, Monday". */
export const dayWords = (day: string | null): string =>
  day === null
    ? "Day not known: the frames carry no capture time"
    : `${day}, ${weekdays[new Date(`${day}T00:00:00Z`).getUTCDay()]}`;

export const shotTitle = ({ name, take }: Pick<DailiesShot, "name" | "take">): string =>
  take === null ? name : `${name}, take ${take}`;

/** "Frames 1 to 24 at 24 frames a second; cut 9 to 24 (01:00:00:09 to 01:00:01:00, 0+09 to 1+08)." */
export const shotFacts = ({ span, cut, frames, counting }: DailiesShot): string => {
  const rate = Number.isInteger(counting.fps) ? `${counting.fps}` : fixed(counting.fps, 3);
  const taken = `${counted(frames.length, "frame")}, ${stretch([span.from, span.to])}, at ${rate} a second`;
  if (cut === null) return `${taken}; no cut is set.`;
  const time = cut.timecode === null ? "no timecode at this rate" : stretch(cut.timecode);
  return `${taken}; cut ${stretch([cut.from, cut.to])} (${time}; ${stretch(cut.feet)}).`;
};

/** What is not in the list, and why; empty where nothing is missing. */
export const leftOutWords = ({ outsideCut, filteredOut, unmeasured, cut }: DailiesShot): readonly string[] => [
  ...(outsideCut > 0 && cut !== null ? [`${counted(outsideCut, "finding")} outside the cut not listed.`] : []),
  ...(filteredOut > 0 ? [`${counted(filteredOut, "finding")} not asked for and not listed.`] : []),
  ...unmeasured.map(
    ({ name, frames, visible, reasons }) =>
      `${name} could not be measured in ${frames.length} of ${counted(visible, "frame")}${reasons.length > 0 ? `: ${reasons[0]}` : ""}.`,
  ),
];

/** "Nothing drifted" is only said where nothing was left out. */
export const nothingWords = ({ outsideCut, filteredOut, unmeasured }: DailiesShot): string =>
  outsideCut + filteredOut > 0
    ? "Nothing else to list."
    : unmeasured.length > 0
      ? "Nothing drifted, as far as it could be measured."
      : "Nothing drifted.";

export const allFindings = ({ days }: Dailies): readonly Finding[] =>
  days.flatMap(({ shots }) => shots.flatMap(({ findings }) => findings));

/** "3 findings in 2 shots: 2 open, 1 paint out." */
export const headline = (dailies: Dailies): string => {
  const found = allFindings(dailies);
  const shots = new Set(dailies.days.flatMap((day) => day.shots.map(({ source }) => source))).size;
  const states = [...new Set(found.map(({ state }) => state))];
  const counts = states.map((state) => `${found.filter((one) => one.state === state).length} ${verdictWords(state)}`);
  const what = `${counted(found.length, "finding")} in ${counted(shots, "shot")}`;
  const cut = dailies.filter.wholeShot ? "Shots are told whole." : "Only what lies inside the cut is listed.";
  return `${counts.length === 0 ? what : `${what}: ${counts.join(", ")}`}. ${cut}`;
};

/** Puppet and copy of a part, "Oda, copy B"; empty for what belongs to none. */
export const ownerOf = ({ part }: Pick<Finding, "part">): string =>
  part?.puppet == null ? "" : titled(part.puppet) + (part.copy === null ? "" : `, copy ${part.copy}`);

/** "to the bench (AB): new elbow ball", with as much of it as was said. */
export const decisionOf = ({ state, verdict, grown }: Finding): string => {
  const who = verdict === null || verdict.who === "" ? "" : ` (${verdict.who})`;
  const note = verdict === null || verdict.note === "" ? "" : `: ${verdict.note}`;
  const words =
    grown && verdict !== null
      ? `open again: it has grown since "${verdictWords(verdict.choice)}"`
      : verdictWords(state);
  return `${words}${who}${note}`;
};
