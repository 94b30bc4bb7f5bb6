import { type FrameNumber, frameNumber } from "../units/index.ts";
import type { Warning } from "./report.ts";

// Numbered stills in one folder, told apart by their names alone.

/** One still of a sequence: the number in its name, and the name. */
export interface SequenceFrame {
  readonly frame: FrameNumber;
  readonly file: string;
}

/** Numbers that are missing: from the first to the last of them, by the step of the sequence. */
export interface Gap {
  readonly from: FrameNumber;
  readonly to: FrameNumber;
}

/** Stills of one prefix and one kind of file, in the order of their numbers. */
export interface FrameSequence {
  /** What people call it by; no two sequences of a folder share one. */
  readonly name: string;
  /** All that stands before the digits. */
  readonly prefix: string;
  readonly extension: "jpg" | "png";
  readonly frames: readonly SequenceFrame[];
  /** The commonest distance between neighbouring numbers: 2 where a shot is numbered by twos. */
  readonly step: number;
  readonly gaps: readonly Gap[];
  /** Gaps and numbers that are there twice. */
  readonly warnings: readonly Warning[];
}

export interface FoundSequences {
  /** In the natural order of their names. */
  readonly sequences: readonly FrameSequence[];
  /** Files that are no numbered stills, as they came. Hidden files are left out. */
  readonly others: readonly string[];
}

/** More gaps than this are told as a number. */
const MOST_GAPS = 20;

// The digits are the last ones before the extension, all of them.
const STILL = /^(.*?)(\d+)\.(jpe?g|png)$/is;

const byText = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

/** Order in which "take 9" comes before "take 10": runs of digits by their number, all else by character. */
const naturally = (a: string, b: string): number => {
  const [left, right] = [a.split(/(\d+)/), b.split(/(\d+)/)];
  for (let i = 0; i < Math.min(left.length, right.length); i++) {
    const order = (i % 2 === 1 ? Number(left[i]) - Number(right[i]) : 0) || byText(left[i], right[i]);
    if (order !== 0) return order;
  }
  return left.length - right.length;
};

const commonestStep = (frames: readonly SequenceFrame[]): number => {
  const counts = new Map<number, number>();
  for (let i = 1; i < frames.length; i++) {
    const distance = frames[i].frame - frames[i - 1].frame;
    counts.set(distance, (counts.get(distance) ?? 0) + 1);
  }
  const [first] = [...counts].sort(([a, times], [b, otherTimes]) => otherTimes - times || a - b);
  return first?.[0] ?? 1;
};

const gapsOf = (frames: readonly SequenceFrame[], step: number): Gap[] =>
  frames.slice(1).flatMap(({ frame }, i) => {
    const before = frames[i].frame;
    const missing = Math.ceil((frame - before) / step) - 1;
    return missing > 0 ? [{ from: frameNumber(before + step), to: frameNumber(before + missing * step) }] : [];
  });

const gapWarnings = (gaps: readonly Gap[], step: number): Warning[] => {
  const by = step === 1 ? "" : `, numbered by ${step}`;
  const told = gaps.slice(0, MOST_GAPS).map(({ from, to }) => ({
    code: "frame-gap",
    detail: from === to ? `no frame ${from}` : `no frames ${from} to ${to}${by}`,
  }));
  const more = gaps.length - told.length;
  return more > 0 ? [...told, { code: "frame-gap", detail: `and ${more} more gaps` }] : told;
};

/** The prefix without what only ties it to the digits. */
const bareName = (prefix: string): string => prefix.replace(/[\s._#-]+$/, "");

/** The plainest names that tell the sequences apart. */
const namesOf = (groups: readonly { readonly prefix: string; readonly extension: string }[]): string[] => {
  const plain = groups.map(({ prefix }) => bareName(prefix) || "frames");
  const named = groups.map(({ extension }, i) =>
    plain.filter((name) => name === plain[i]).length > 1 ? `${plain[i]}.${extension}` : plain[i],
  );
  const unique = new Set(named).size === named.length;
  return unique ? named : groups.map(({ prefix, extension }) => `${prefix}#.${extension}`);
};

/**
 * Sequences of numbered JPEG and PNG stills among the names of the files in one folder (names, not paths). Names that
 * differ in padding alone belong together; JPEG and PNG of one prefix are two sequences. Where a number is there twice
 * the first name in natural order is taken, and a warning names both.
 */
export const findSequences = (names: readonly string[]): FoundSequences => {
  const others: string[] = [];
  const groups = new Map<string, { prefix: string; extension: "jpg" | "png"; stills: SequenceFrame[] }>();
  for (const file of names) {
    // Hidden files, among them the "._" twins that one system leaves beside every file on foreign disks.
    if (file.startsWith(".")) continue;
    const [, prefix, digits, written] = STILL.exec(file) ?? [];
    const frame = Number(digits);
    if (prefix === undefined || !Number.isSafeInteger(frame)) {
      others.push(file);
      continue;
    }
    const extension = written.toLowerCase() === "png" ? "png" : "jpg";
    const key = `${extension} ${prefix}`;
    const group = groups.get(key) ?? { prefix, extension, stills: [] };
    group.stills.push({ frame: frameNumber(frame), file });
    groups.set(key, group);
  }
  const sorted = [...groups.values()].sort((a, b) => naturally(a.prefix, b.prefix) || byText(a.extension, b.extension));
  const sequenceNames = namesOf(sorted);
  const sequences = sorted.map(({ prefix, extension, stills }, i): FrameSequence => {
    const frames: SequenceFrame[] = [];
    const twice: Warning[] = [];
    for (const still of stills.sort((a, b) => a.frame - b.frame || naturally(a.file, b.file))) {
      const taken = frames.at(-1);
      if (taken?.frame !== still.frame) frames.push(still);
      else if (taken.file !== still.file) {
        twice.push({
          code: "frame-twice",
          detail: `frame ${still.frame} is there twice: ${taken.file} is taken, ${still.file} is not`,
        });
      }
    }
    const step = commonestStep(frames);
    const gaps = gapsOf(frames, step);
    return {
      name: sequenceNames[i],
      prefix,
      extension,
      frames,
      step,
      gaps,
      warnings: [...twice, ...gapWarnings(gaps, step)],
    };
  });
  return { sequences, others };
};

export type SequenceChoice =
  | { readonly sequence: FrameSequence; readonly warnings: readonly Warning[] }
  | { readonly error: string };

const told = ({ name, frames }: FrameSequence) =>
  `${name} (${frames.length} ${frames.length === 1 ? "frame" : "frames"})`;

/** True where one of the words of a sequence's name is the pass: "hive_010_beauty" is of the pass "beauty". */
const isOfPass = ({ prefix }: FrameSequence, pass: string): boolean => {
  const name = bareName(prefix).toLowerCase();
  const at = name.lastIndexOf(pass.toLowerCase());
  const isEdge = (character: string) => !/[\p{L}\p{N}]/u.test(character);
  return at >= 0 && isEdge(name.charAt(at - 1)) && isEdge(name.charAt(at + pass.length));
};

/**
 * The sequence to check: the wanted one, by its name or its prefix, else the longest (the first of several) of the pass
 * that the sheet is for, else of all, with the others named in a warning. Warnings of the sequence itself come with it.
 * The error is a sentence.
 */
export const chooseSequence = (
  found: FoundSequences,
  wanted: string | null,
  pass: string | null = null,
): SequenceChoice => {
  const { sequences } = found;
  if (sequences.length === 0) {
    const there = found.others.length === 0 ? "no files at all" : `${found.others.length} other files`;
    return { error: `no numbered frames (name_0001.jpg or .png) here: ${there}` };
  }
  const list = sequences.map(told).join(", ");
  if (wanted !== null) {
    const named = sequences.filter(({ name }) => name === wanted);
    const matches =
      named.length > 0 ? named : sequences.filter(({ prefix }) => [prefix, bareName(prefix)].includes(wanted));
    if (matches.length === 1) return { sequence: matches[0], warnings: matches[0].warnings };
    const why = matches.length === 0 ? "there is no sequence" : "there is more than one sequence";
    return { error: `${why} ${JSON.stringify(wanted)} here; there are: ${list}` };
  }
  const ofPass = pass === null ? [] : sequences.filter((one) => isOfPass(one, pass));
  const among = ofPass.length > 0 ? ofPass : sequences;
  const sequence = among.reduce((best, other) => (other.frames.length > best.frames.length ? other : best));
  const others = sequences.filter((other) => other !== sequence);
  if (others.length === 0) return { sequence, warnings: sequence.warnings };
  const why = ofPass.length > 0 ? `the pass '${pass}' that the sheet is for` : "the longest sequence here";
  const noPass = pass !== null && ofPass.length === 0 ? ` (none has the sheet's pass '${pass}' in its name)` : "";
  const detail = `${told(sequence)} is checked, ${why}${noPass}; not checked: ${others.map(told).join(", ")}`;
  return { sequence, warnings: [{ code: "other-sequences", detail }, ...sequence.warnings] };
};

/** What the shot is called where no sheet tells: the sequence's prefix, else the folder's name. */
export const shotNameOf = (sequence: FrameSequence, folder = ""): string =>
  bareName(sequence.prefix) || folder.trim() || "shot";
