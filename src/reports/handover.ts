import {
  type Flag,
  flagKindLabels,
  type IntentName,
  intentLabels,
  type Report,
  type ReportPart,
  type Verdict,
  verdictLabels,
} from "../model/index.ts";
import { watchedLines } from "./watched-lines.ts";
import { fixed, framesFrom, measured, rateWords } from "./words.ts";

// What an animator who takes over has to know of a shot at its last frame.

export interface HandoverHold {
  readonly part: string;
  readonly name: string;
  readonly puppet: string | null;
  /** What the part is meant to do in the last frame; null: the pictures were left to say. */
  readonly intent: string | null;
  /** Frame that the hold is measured against. */
  readonly anchor: number;
  /** "0.02 ± 0.01 px (0.006 ± 0.003 mm)", or why there is no number. */
  readonly drift: string;
  readonly flagged: boolean;
}

export interface HandoverJoint {
  readonly joint: string;
  readonly words: string;
}

export interface HandoverOpen {
  readonly flag: string;
  readonly title: string;
  readonly message: string;
  /** "no verdict yet", or what was decided, by whom and with which note. */
  readonly verdict: string;
  /** What comes next and how it can be eased back, where that can be told. */
  readonly next: readonly string[];
}

export interface Handover {
  readonly lastFrame: number;
  readonly time: string | null;
  readonly camera: string;
  readonly light: string;
  readonly moving: readonly string[];
  readonly holds: readonly HandoverHold[];
  readonly joints: readonly HandoverJoint[];
  readonly open: readonly HandoverOpen[];
  /** Drifts that are real and still within their band. */
  readonly watched: readonly string[];
  /** What was put right on purpose, the latest last. */
  readonly corrections: readonly string[];
}

const intentAt = (part: ReportPart, frame: number): IntentName | null =>
  part.intents?.find(({ from, to }) => from <= frame && frame <= to)?.intent ?? null;

const sizeOf = (length: number, sigma: number, pxPerMm: number | null): string =>
  measured(length, sigma, "px") + (pxPerMm === null ? "" : ` (${measured(length / pxPerMm, sigma / pxPerMm, "mm")})`);

function holdsOf(report: Report, lastFrame: number, scaleOf: (part: string) => number | null): HandoverHold[] {
  return report.parts.flatMap((part) => {
    const intent = intentAt(part, lastFrame);
    if (intent === "moves" || intent === "hidden") return [];
    const row = report.tracks.find((track) => track.part === part.id && track.frame === lastFrame);
    if (row === undefined) return [];
    const known = row.dx !== null && row.dy !== null && row.sigmaDx !== null && row.sigmaDy !== null;
    const sigma = known ? Math.hypot(row.sigmaDx ?? 0, row.sigmaDy ?? 0) : 0;
    return [
      {
        part: part.id,
        name: part.name,
        puppet: part.puppet,
        intent: intent === null ? null : intentLabels[intent],
        anchor: row.anchor,
        drift: known
          ? sizeOf(Math.hypot(row.dx ?? 0, row.dy ?? 0), sigma, scaleOf(part.id))
          : `can't be measured: ${row.reason || "no number"}`,
        flagged: report.flags.some((flag) => flag.part === part.id || flag.carries.includes(part.id)),
      },
    ];
  });
}

function jointsOf(report: Report, jointName: (id: string) => string): HandoverJoint[] {
  const seen = new Map<string, string[]>();
  for (const flag of report.flags) {
    if (flag.joint === null || flag.px === null) continue;
    const name = report.parts.find(({ id }) => id === flag.part)?.name ?? "A part";
    const speed = rateWords(flag.perMinutePx, flag.perMinuteSigma ?? null);
    const rate = speed === null ? "" : `, ${speed}`;
    const words = `${name}: ${flagKindLabels[flag.kind]} of ${measured(flag.px, flag.sigma, "px")} since frame ${flag.from}${rate}`;
    for (const joint of [flag.joint, ...(flag.alsoJoints ?? [])]) seen.set(joint, [...(seen.get(joint) ?? []), words]);
  }
  return [...seen].map(([joint, words]) => ({ joint: jointName(joint), words: words.join("; ") }));
}

const verdictWords = (verdict: Verdict | null): string =>
  verdict === null
    ? "no verdict yet"
    : [verdictLabels[verdict.choice], verdict.who, verdict.note].filter((word) => word !== "").join(", ");

/** What comes next; easing it back is no advice once something else was decided. */
function nextOf({ forecast, easeBack }: Flag, verdict: Verdict | null): string[] {
  const isOpen = verdict === null || verdict.choice === "ease-back";
  return [forecast?.message, isOpen ? easeBack?.message : undefined].filter((line) => line !== undefined);
}

/** Everything that whoever goes on has to know, as it was in the shot's last frame. */
export function handover({
  report,
  verdictOf,
  scaleOf,
  jointName,
}: {
  readonly report: Report;
  readonly verdictOf: (flag: Flag) => Verdict | null;
  /** px per mm of a part, or null. */
  readonly scaleOf: (part: string) => number | null;
  readonly jointName: (id: string) => string;
}): Handover {
  const last = report.frames.at(-1);
  const lastFrame = last?.frame ?? 0;
  const { camera = null, lightStops = null, time = null } = last ?? {};
  const nameOf = (id: string | null) => report.parts.find((part) => part.id === id)?.name ?? "The frame";
  return {
    lastFrame,
    time,
    camera:
      camera === null
        ? "can't be told in the last frame"
        : `${measured(Math.hypot(camera.dx, camera.dy), camera.sigma, "px")} from where it stood in the first frame, at the middle of the picture`,
    light:
      lightStops === null
        ? "can't be told in the last frame"
        : `${lightStops < 0 ? "" : "+"}${fixed(lightStops, 3)} stops against the first frame`,
    moving: report.parts.filter((part) => intentAt(part, lastFrame) === "moves").map(({ name }) => name),
    holds: holdsOf(report, lastFrame, scaleOf),
    joints: jointsOf(report, jointName),
    open: report.flags.map((flag) => ({
      flag: flag.id,
      title: `${nameOf(flag.part)}: ${flagKindLabels[flag.kind]}, ${framesFrom(flag)}`,
      message: flag.message,
      verdict: verdictWords(verdictOf(flag)),
      next: nextOf(flag, verdictOf(flag)),
    })),
    watched: watchedLines(report),
    corrections: (report.corrections ?? []).map(({ message }) => message),
  };
}
