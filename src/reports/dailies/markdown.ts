import { flagKindLabels } from "../../model/index.ts";
import { extentOf } from "../flag-size.ts";
import type { Dailies, DailiesNote, DailiesShot, Finding } from "./dailies.ts";
import { departmentLabels } from "./department.ts";
import {
  dayWords,
  decisionOf,
  headline,
  leftOutWords,
  nothingWords,
  ownerOf,
  shotFacts,
  shotTitle,
} from "./sentences.ts";
import { stretch } from "./span.ts";

/** Text that stands for itself, in one line: nothing in it is taken for a mark. */
const plain = (text: string): string =>
  text
    .trim()
    .replace(/\s*[\r\n]+\s*/gu, " ")
    .replace(/[\\`*<>[\]|~]/gu, "\\$&")
    .replace(/(?<![\p{L}\p{N}])_|_(?![\p{L}\p{N}])/gu, "\\_")
    .replace(/^([#+=-]|\d+[.)])/u, "\\$1");

const row = (cells: readonly string[]): string => `| ${cells.join(" | ")} |`;

const columns = ["Frames", "Timecode", "Feet", "Finding", "Size", "Department", "Verdict"];

const findingRow = (finding: Finding): string => {
  const { flag, span, department } = finding;
  const owner = ownerOf(finding);
  return row([
    stretch([span.from, span.to]),
    span.timecode === null ? "none at this rate" : stretch(span.timecode),
    stretch(span.feet),
    `**${flagKindLabels[flag.kind]}** ${plain(flag.message)}${owner === "" ? "" : ` (${plain(owner)})`}`,
    extentOf(flag) ?? "none told",
    departmentLabels[department],
    plain(decisionOf(finding)),
  ]);
};

const noteLine = ({ note, part, span }: DailiesNote): string => {
  const where = [...(span === null ? [] : [`frame ${span.from}`]), ...(part === null ? [] : [part.name])].join(", ");
  const who = note.who === "" ? "" : ` (${note.who})`;
  return `* ${where === "" ? "" : `${plain(where)}: `}${plain(note.text)}${plain(who) === "" ? "" : ` ${plain(who)}`}`;
};

const shotLines = (shot: DailiesShot): string[] => [
  "",
  `### ${plain(shotTitle(shot))}`,
  "",
  shotFacts(shot),
  "",
  ...(shot.findings.length === 0
    ? [nothingWords(shot)]
    : [row(columns), row(columns.map(() => "---")), ...shot.findings.map(findingRow)]),
  ...(shot.notes.length === 0 ? [] : ["", "Notes:", "", ...shot.notes.map(noteLine)]),
  ...leftOutWords(shot).flatMap((line) => ["", plain(line)]),
];

/** The notes as Markdown, with a table a shot. */
export const dailiesMarkdown = (dailies: Dailies): string => {
  const lines = [
    "# Dailies",
    "",
    headline(dailies),
    ...dailies.days.flatMap(({ day, shots }) => ["", `## ${dayWords(day)}`, ...shots.flatMap(shotLines)]),
  ];
  return `${lines.join("\n")}\n`;
};
