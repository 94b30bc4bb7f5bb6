import {
  type CameraMotion,
  type Flag,
  flagKindLabels,
  type Report,
  type Verdict,
  verdictLabels,
} from "../model/index.ts";
import { leftOut, unmeasuredParts } from "./coverage.ts";
import { counted, fixed, frameList, framesFrom, measured } from "./words.ts";

// May the set be struck? What can't be shot again once it is gone, question by question. Each answer says what it rests
// on; what can't be told is no yes.

export type Standing = "yes" | "no" | "unknown";

export interface StrikeLine {
  readonly id: "frames" | "camera" | "light" | "focus" | "passes" | "plates" | "verdicts" | "measured";
  /** The question, as a person would ask it. */
  readonly question: string;
  readonly standing: Standing;
  /** The answer, in one sentence. */
  readonly answer: string;
  /** What it rests on, or what is open, a sentence each. */
  readonly details: readonly string[];
}

export interface Strike {
  /** True where every question has a yes. */
  readonly ready: boolean;
  readonly answer: string;
  readonly lines: readonly StrikeLine[];
}

/** A plate beside the shot's last frame: a picture of the same set from which something is gone. */
export interface Plate {
  readonly file: string;
  /** Null where the camera can't be told from it. */
  readonly camera: CameraMotion | null;
  readonly lightStops: number | null;
  readonly focus: { readonly loss: number; readonly sigma: number } | null;
}

/** Another pass of the same shot, by the frames that it has. */
export interface Pass {
  readonly name: string;
  readonly frames: readonly number[];
}

export interface StrikeInput {
  readonly report: Report;
  readonly verdictOf: (flag: Flag) => Verdict | null;
  readonly passes: readonly Pass[];
  readonly plates: readonly Plate[];
  /** True where the sheet lets the camera move: first and last frame then differ on purpose. */
  readonly cameraMoves: boolean;
}

/** Limits where the report names no band of its own: px, and shares. */
const CAMERA_BAND = 0.1;
const LIGHT_BAND = 0.03;
const FOCUS_BAND = 0.05;

const bandOf = (report: Report, key: string, otherwise: number): number => report.made.bands[key] ?? otherwise;
const percent = (share: number): string => `${fixed(100 * share, 1)} %`;

/** Light is told in stops everywhere, percent beside it: "0.043 stops (3.0 %)". */
const lightWords = (share: number): string =>
  `${fixed(Math.abs(Math.log2(1 + share)), 3)} stops (${percent(Math.abs(share))})`;

/**
 * Largest displacement of a still point of the picture, px of the original frame: similarity about the frame's middle,
 * looked at in its corners.
 */
export function farthest({ dx, dy, turn, scale }: CameraMotion, width: number, height: number): number {
  const a = scale * Math.cos(turn) - 1;
  const b = scale * Math.sin(turn);
  const corners = [-1, 1].flatMap((x) => [-1, 1].map((y) => [(x * width) / 2, (y * height) / 2] as const));
  return Math.max(...corners.map(([x, y]) => Math.hypot(dx + a * x - b * y, dy + b * x + a * y)));
}

/** Gaps in the numbering, told by the commonest step between frames: a shot on twos has none at the odd numbers. */
export function missingFrames(frames: readonly number[]): readonly number[] {
  const steps = frames.slice(1).map((frame, i) => frame - frames[i]);
  const counts = new Map<number, number>();
  for (const step of steps) counts.set(step, (counts.get(step) ?? 0) + 1);
  const usual = [...counts].toSorted((a, b) => b[1] - a[1] || a[0] - b[0])[0]?.[0] ?? 1;
  return frames.slice(1).flatMap((frame, i) => {
    const gap: number[] = [];
    for (let missing = frames[i] + usual; missing < frame; missing += usual) gap.push(missing);
    return gap;
  });
}

function framesLine(report: Report): StrikeLine {
  const { frames, cut } = report.shot;
  const missing = missingFrames(frames);
  const unread = leftOut(report);
  const details: string[] = [];
  if (missing.length > 0) details.push(`Missing: ${frameList(missing)}.`);
  for (const { detail } of unread) details.push(detail.endsWith(".") ? detail : `${detail}.`);
  for (const flag of report.flags) if (flag.kind === "repeat") details.push(flag.message);
  const [first, last] = [frames[0] ?? 0, frames.at(-1) ?? 0];
  if (cut && (first > cut[0] || last < cut[1]))
    details.push(`The cut asks for frames ${cut[0]} to ${cut[1]}; there are ${first} to ${last}.`);
  return {
    id: "frames",
    question: "Is every frame there?",
    standing: details.length === 0 ? "yes" : "no",
    answer:
      details.length === 0
        ? `All of ${first} to ${last}, ${counted(frames.length, "frame")}, and each could be read.`
        : "Not every frame is there.",
    details,
  };
}

function cameraLine({ report, cameraMoves }: StrikeInput): StrikeLine {
  const band = bandOf(report, "camera-shift", CAMERA_BAND);
  const known = report.frames.filter((row) => row.camera !== null);
  const [first, last] = [known[0], known.at(-1)];
  const line = { id: "camera", question: "Does the camera stand where it stood?" } as const;
  const flags = report.flags.filter(({ kind }) => kind === "camera-shift").map(({ message }) => message);
  if (cameraMoves)
    return {
      ...line,
      standing: flags.length === 0 ? "yes" : "no",
      answer:
        flags.length === 0
          ? "It is meant to move, and kept to a smooth path."
          : "It is meant to move, but left its smooth path.",
      details: flags,
    };
  if (!first?.camera || !last?.camera || first === last)
    return { ...line, standing: "unknown", answer: "The camera can't be told from this shot.", details: [] };
  const { width, height } = report.shot;
  const between: CameraMotion = {
    ...last.camera,
    dx: (last.camera.dx - first.camera.dx) as CameraMotion["dx"],
    dy: (last.camera.dy - first.camera.dy) as CameraMotion["dy"],
    turn: (last.camera.turn - first.camera.turn) as CameraMotion["turn"],
    scale: last.camera.scale / first.camera.scale,
  };
  const far = farthest(between, width, height);
  const holds = far <= band;
  const size = measured(far, last.camera.sigma, "px");
  return {
    ...line,
    standing: holds ? "yes" : "no",
    answer: `Frame ${last.frame} against frame ${first.frame}: at most ${size} anywhere in the picture; ${fixed(band, 2)} px allowed.`,
    details: holds ? [] : report.flags.filter(({ kind }) => kind === "camera-shift").map(({ message }) => message),
  };
}

function lightLine(report: Report): StrikeLine {
  const band = bandOf(report, "light-trend", LIGHT_BAND);
  const line = { id: "light", question: "Is the light what it was?" } as const;
  const known = report.frames.filter((row) => row.lightStops !== null);
  const [first, last] = [known[0], known.at(-1)];
  if (!first || !last || first === last)
    return { ...line, standing: "unknown", answer: "The light can't be told from this shot.", details: [] };
  const change = 2 ** ((last.lightStops ?? 0) - (first.lightStops ?? 0)) - 1;
  return {
    ...line,
    standing: Math.abs(change) <= band ? "yes" : "no",
    answer: `Frame ${last.frame} is ${lightWords(change)} ${change < 0 ? "darker" : "brighter"} than frame ${first.frame}; ${lightWords(band)} allowed over a shot.`,
    details: [],
  };
}

function focusLine(report: Report): StrikeLine {
  const band = bandOf(report, "soft", FOCUS_BAND);
  const line = { id: "focus", question: "Is it as sharp as it was?" } as const;
  const known = report.frames.filter((row) => row.focus);
  const [first, last] = [known[0], known.at(-1)];
  const flags = report.flags.filter(({ kind }) => kind === "soft").map(({ message }) => message);
  if (!first?.focus || !last?.focus || first === last)
    return { ...line, standing: "unknown", answer: "Sharpness can't be told from this report.", details: flags };
  const loss = last.focus.loss - first.focus.loss;
  const sigma = Math.hypot(last.focus.sigma, first.focus.sigma);
  const size = `${fixed(100 * Math.abs(loss), 1)} ± ${fixed(Math.max(0.1, 100 * sigma), 1)} %`;
  return {
    ...line,
    standing: Math.abs(loss) <= band && flags.length === 0 ? "yes" : "no",
    answer: `Frame ${last.frame} has ${size} ${loss < 0 ? "more" : "less"} of the finest contrast than frame ${first.frame}; ${percent(band)} allowed.`,
    details: flags,
  };
}

function passesLine({ report, passes }: StrikeInput): StrikeLine {
  const line = { id: "passes", question: "Are the passes complete?" } as const;
  const own = report.shot.pass ?? "this pass";
  if (passes.length === 0)
    return {
      ...line,
      standing: "unknown",
      answer: `Only ${own} was looked at. If there are others, add them.`,
      details: [],
    };
  const wanted = new Set<number>(report.shot.frames);
  const short = passes.flatMap(({ name, frames }) => {
    const has = new Set(frames);
    const missing = [...wanted].filter((frame) => !has.has(frame));
    return missing.length > 0 ? [`${name} lacks ${frameList(missing, report.shot.frames)}.`] : [];
  });
  return {
    ...line,
    standing: short.length === 0 ? "yes" : "no",
    answer:
      short.length === 0
        ? `${passes.map(({ name }) => name).join(", ")}: every frame of ${own} is there too.`
        : "A pass is not complete.",
    details: short,
  };
}

function plateLine({ report, plates }: StrikeInput): StrikeLine {
  const line = { id: "plates", question: "Do the plates match?" } as const;
  if (plates.length === 0)
    return { ...line, standing: "unknown", answer: "No plate was looked at. If one is needed, add it.", details: [] };
  const camera = bandOf(report, "camera-shift", CAMERA_BAND);
  const light = bandOf(report, "light-trend", LIGHT_BAND);
  const soft = bandOf(report, "soft", FOCUS_BAND);
  let worst: Standing = "yes";
  const details = plates.map((plate) => {
    const faults: string[] = [];
    const facts: string[] = [];
    if (plate.camera === null) faults.push("the camera can't be told from it");
    else {
      const far = farthest(plate.camera, report.shot.width, report.shot.height);
      (far > camera ? faults : facts).push(`camera ${measured(far, plate.camera.sigma, "px")}`);
    }
    if (plate.lightStops === null) faults.push("its light can't be told");
    else {
      const change = 2 ** plate.lightStops - 1;
      (Math.abs(change) > light ? faults : facts).push(`${lightWords(change)} ${change < 0 ? "darker" : "brighter"}`);
    }
    if (plate.focus) {
      const { loss, sigma } = plate.focus;
      (Math.abs(loss) > soft ? faults : facts).push(
        `${fixed(100 * Math.abs(loss), 1)} ± ${fixed(Math.max(0.1, 100 * sigma), 1)} % ${loss < 0 ? "sharper" : "softer"}`,
      );
    }
    if (faults.length > 0) worst = plate.camera === null && worst === "yes" ? "unknown" : "no";
    return `${plate.file} against the last frame: ${[...faults, ...facts].join(", ")}${faults.length > 0 ? ": not the same" : ""}.`;
  });
  return {
    ...line,
    standing: worst,
    answer:
      worst === "yes"
        ? `${counted(plates.length, "plate")}: camera, light and focus are those of the last frame.`
        : "A plate differs from the last frame.",
    details,
  };
}

function verdictLine({ report, verdictOf }: StrikeInput): StrikeLine {
  const nameOf = ({ part, kind }: Flag): string =>
    `${report.parts.find(({ id }) => id === part)?.name ?? "The frame"}, ${flagKindLabels[kind]}`;
  const open = report.flags.filter((flag) => verdictOf(flag) === null);
  const again = report.flags.filter((flag) => verdictOf(flag)?.choice === "reshoot");
  const details = [
    ...open.map((flag) => `${nameOf(flag)} (${framesFrom(flag)}): no verdict yet.`),
    ...again.map(
      (flag) => `${nameOf(flag)} (${framesFrom(flag)}): ${verdictLabels.reshoot}, so the set is still needed.`,
    ),
  ];
  return {
    id: "verdicts",
    question: "Is every finding decided?",
    standing: details.length === 0 ? "yes" : "no",
    answer:
      report.flags.length === 0
        ? "Nothing was flagged."
        : details.length === 0
          ? `${counted(report.flags.length, "finding")}, all decided.`
          : `${counted(details.length, "finding")} of ${report.flags.length} still ${details.length === 1 ? "needs" : "need"} the set.`,
    details,
  };
}

function measuredLine(report: Report): StrikeLine {
  const blind = unmeasuredParts(report).filter(({ tooMany }) => tooMany);
  return {
    id: "measured",
    question: "Could every part be measured?",
    standing: blind.length === 0 ? "yes" : "unknown",
    answer:
      blind.length === 0
        ? `${counted(report.parts.length, "part")}, each in nine tenths of its visible frames or more.`
        : `${counted(blind.length, "part")} could not be measured well enough to say that nothing moved.`,
    details: blind.map(
      ({ name, frames, visible, reasons }) =>
        `${name}: no number in ${frames.length} of ${counted(visible, "frame")}${reasons[0] === undefined ? "" : ` (${reasons[0]})`}.`,
    ),
  };
}

/** Every question with its answer; what is open first. Passes and plates that nobody named are a question, not a no. */
export function safeToStrike(input: StrikeInput): Strike {
  const { report } = input;
  const order: Readonly<Record<Standing, number>> = { no: 0, unknown: 1, yes: 2 };
  const lines = [
    framesLine(report),
    verdictLine(input),
    cameraLine(input),
    lightLine(report),
    focusLine(report),
    passesLine(input),
    plateLine(input),
    measuredLine(report),
  ].toSorted((a, b) => order[a.standing] - order[b.standing]);
  const count = (standing: Standing) => lines.filter((line) => line.standing === standing).length;
  const [no, unknown] = [count("no"), count("unknown")];
  const answer =
    no > 0
      ? `Not yet: ${counted(no, "question")} of ${lines.length} ${no === 1 ? "has" : "have"} a no.`
      : unknown > 0
        ? `Nothing speaks against it, but ${counted(unknown, "question")} can't be answered from what was shown.`
        : "Yes: all that can be told from the pictures is in order.";
  return { ready: no === 0 && unknown === 0, answer, lines };
}
