import type { MarkKind, Report, Sheet } from "../../model/index.ts";
import { duration } from "../../reports/words.ts";

/** Something that was done on set, or a stop in shooting: drawn on the axis and over the strips. */
export interface Happening {
  readonly kind: MarkKind;
  /** The frame that it stands at; a break lies between `before` and it. */
  readonly frame: number;
  readonly before: number | null;
  /** Part that it was done to; null: everything. */
  readonly part: string | null;
  /** "48 min", or empty. */
  readonly length: string;
  readonly words: string;
}

const names: Readonly<Record<MarkKind, string>> = {
  reset: "Reset",
  correction: "Put right",
  break: "Break",
  anchor: "Anchor moved here",
};

/** What the sheet marks and the report tells, in the order of frames; what both tell stands once. */
export function happeningsOf(report: Report, sheet: Sheet | null): readonly Happening[] {
  const frames = report.shot.frames as readonly number[];
  const before = (frame: number) => frames.findLast((each) => each < frame) ?? null;
  const nameOf = (part: string | null) =>
    part === null ? "" : (report.parts.find((each) => each.id === part)?.name ?? part);
  const found = new Map<string, Happening>();
  const add = (one: Happening) => {
    const key = `${one.kind} ${one.frame} ${one.kind === "break" ? "" : (one.part ?? "")}`;
    if (!found.has(key) && frames.includes(one.frame)) found.set(key, one);
  };
  for (const { from, to, minutes, message } of report.breaks ?? []) {
    const length = minutes === null ? "" : duration(Math.round(minutes) * 60).replace(/ 0 s$/u, "");
    add({ kind: "break", frame: to, before: from, part: null, length, words: message });
  }
  for (const { part, frame, kind, message } of report.corrections ?? [])
    add({ kind, frame, before: null, part, length: "", words: message });
  for (const { frame, kind, part, note } of sheet?.marks ?? []) {
    const whose = part === null ? "" : `, ${nameOf(part)}`;
    const words = `${names[kind]}${whose}${note === "" ? "" : `: ${note}`}`;
    add({ kind, frame, before: kind === "break" ? before(frame) : null, part, length: "", words });
  }
  return [...found.values()].sort((a, b) => a.frame - b.frame);
}
