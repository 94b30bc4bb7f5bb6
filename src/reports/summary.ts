import { type Flag, type FlagKind, flagKindLabels, type Report, type Warning } from "../model/index.ts";
import { leftOut, type Unmeasured, unmeasuredParts } from "./coverage.ts";
import { sizesOf } from "./flag-size.ts";
import { watchedLines } from "./watched-lines.ts";
import { counted, frameList } from "./words.ts";

/** Kinds that are told of by what they are, not by where something went. */
const withoutDrift: ReadonlySet<FlagKind> = new Set(["soft", "light", "stray", "repeat"]);

/** More warnings of one kind than this are told as a number. */
const MOST_OF_A_KIND = 8;

/** "2 things drifted and 1 other thing stands out in 24 frames of hive_010." */
const headline = (report: Report, whole: boolean): string => {
  const drifted = report.flags.filter((flag) => !withoutDrift.has(flag.kind)).length;
  const other = report.flags.length - drifted;
  const where = `${counted(report.shot.frames.length, "frame")} of ${report.shot.name}`;
  if (report.flags.length === 0)
    return `Nothing drifted in ${where}${whole ? "" : ", as far as it could be measured"}.`;
  const parts = [
    ...(drifted > 0 ? [`${counted(drifted, "thing")} drifted`] : []),
    ...(other === 0 ? [] : drifted === 0 ? [standsOut(other, "thing")] : [standsOut(other, "other thing")]),
  ];
  return `${parts.join(" and ")} in ${where}.`;
};

const standsOut = (count: number, noun: string): string =>
  `${counted(count, noun)} ${count === 1 ? "stands" : "stand"} out`;

const flagLines = (report: Report, flag: Flag): string[] => {
  const joints = [flag.joint, ...(flag.alsoJoints ?? [])].filter((joint) => joint !== null);
  const span = flag.from === flag.to ? `frame ${flag.from}` : `frames ${flag.from} to ${flag.to}`;
  const facts = [flagKindLabels[flag.kind], span, ...sizesOf(flag)];
  if (joints.length > 0) facts.push(`joint ${joints.join(" or ")}`);
  if (flag.carries.length > 0) {
    const names = flag.carries.map((id) => report.parts.find((part) => part.id === id)?.name ?? id);
    facts.push(`with ${names.join(", ")}`);
  }
  const next = [flag.forecast?.message, flag.easeBack?.message].filter((line) => line !== undefined);
  return [`* ${flag.message}`, `  ${facts.join("; ")}`, ...next.map((line) => `  ${line}`)];
};

const unmeasuredLine = ({ name, frames, visible, reasons }: Unmeasured, every: readonly number[]): string => {
  const why = reasons.length > 0 ? `: ${reasons.join("; ")}` : "";
  return `* ${name}: no number in ${frames.length} of ${counted(visible, "frame")} (${frameList(frames, every)})${why}`;
};

/** Warnings as lines, each kind cut short past MOST_OF_A_KIND. */
const warningLines = (warnings: readonly Warning[]): string[] => {
  const codes = [...new Set(warnings.map(({ code }) => code))];
  return codes.flatMap((code) => {
    const alike = warnings.filter((warning) => warning.code === code);
    const lines = alike.slice(0, MOST_OF_A_KIND).map(({ detail }) => `* ${detail}`);
    const more = alike.length - lines.length;
    return more > 0 ? [...lines, `  and ${more} more like it`] : lines;
  });
};

const section = (title: string, lines: readonly string[]): string[] => (lines.length > 0 ? ["", title, ...lines] : []);

/** A report for people, as plain lines: the answer first, then each flag, what could not be measured and why, warnings. */
export const summary = (report: Report): string => {
  const missing = leftOut(report);
  const unmeasured = unmeasuredParts(report);
  const whole = missing.length === 0 && !unmeasured.some((part) => part.tooMany);
  const lines = [
    headline(report, whole),
    ...report.flags.flatMap((flag) => ["", ...flagLines(report, flag)]),
    ...section(
      "What moved over the breaks:",
      (report.breaks ?? []).map(({ message }) => `* ${message}`),
    ),
    ...section(
      "Drifting, and still within the band:",
      watchedLines(report).map((line) => `* ${line}`),
    ),
    ...section("Frames that could not be checked:", warningLines(missing)),
    ...section(
      "Could not be measured:",
      unmeasured.map((part) => unmeasuredLine(part, report.shot.frames)),
    ),
    ...section("To know:", warningLines(report.warnings.filter((warning) => !missing.includes(warning)))),
  ];
  return `${lines.join("\n")}\n`;
};
