import type { FrameNumber } from "../units/index.ts";
import { enclosesArea, isInPicture } from "./geometry.ts";
import { isObject, itemName } from "./refusal.ts";
import type { z } from "./schema.ts";
import {
  cameraIntentSchema,
  type Intent,
  type Joint,
  jointSchema,
  intentSchema,
  type Mark,
  markSchema,
  type Outline,
  outlineSchema,
  sheetSchema,
  sheetShotSchema,
} from "./sheet.ts";
import { framesOfTimecode } from "./timecode.ts";

// The second half of a sheet's checks: what its values say about one another. It looks at every piece that is
// right in itself, also where other pieces aren't, so that one reading of the file finds everything.

/** What is known of the shot that a sheet is read for. */
export interface ShotContext {
  /** The numbers of the frames there are, in any order; empty: not known, so that no frame is refused. */
  readonly frames: readonly FrameNumber[];
  /** Size of the oriented original frame, px; null: not known, so that no place is refused. */
  readonly width: number | null;
  readonly height: number | null;
}

/** A `down` shorter than this, px, has no direction to speak of. */
const SHORTEST_DOWN = 1e-6;

/** A piece that is right in itself, and its number in the file, from 1. */
interface Numbered<T> {
  readonly value: T;
  readonly number: number;
}

interface PartPieces {
  /** "part 'cuff'" */
  readonly place: string;
  readonly id: string | null;
  readonly carrier: string | null;
  readonly outlines: readonly Numbered<Outline>[];
  /** True where every outline of the file is among `outlines`. */
  readonly allOutlines: boolean;
  readonly joints: readonly Numbered<Joint>[];
  readonly intents: readonly Numbered<Intent>[];
}

const pieces = <Schema extends z.ZodType>(list: unknown, schema: Schema): Numbered<z.output<Schema>>[] =>
  (Array.isArray(list) ? list : []).flatMap((item, i) => {
    const parsed = schema.safeParse(item);
    return parsed.success ? [{ value: parsed.data, number: i + 1 }] : [];
  });

const nameOf = (value: unknown): string | null => (typeof value === "string" && /\S/u.test(value) ? value : null);

const partPieces = (item: unknown, index: number): PartPieces => {
  const part = isObject(item) ? item : {};
  const outlines = pieces(part.outlines, outlineSchema);
  return {
    place: itemName("part", item, index),
    id: nameOf(part.id),
    carrier: nameOf(part.carrier),
    outlines,
    allOutlines: Array.isArray(part.outlines) && part.outlines.length === outlines.length,
    joints: pieces(part.joints, jointSchema),
    intents: pieces(part.intents, intentSchema),
  };
};

interface Span {
  readonly from: number;
  readonly to: number;
  readonly intent: string;
}

const spanText = ({ from, to, intent }: Span) => `${intent}, ${from} to ${to}`;

/** Ranges that run backwards or share frames. */
const spanFaults = (place: string, noun: string, spans: readonly Numbered<Span>[]): string[] => {
  const faults: string[] = [];
  const forward: Numbered<Span>[] = [];
  for (const span of spans) {
    if (span.value.from <= span.value.to) forward.push(span);
    else faults.push(`${place}${noun} ${span.number} (${spanText(span.value)}) ends before it begins`);
  }
  forward.sort((a, b) => a.value.from - b.value.from);
  let longest: Numbered<Span> | undefined;
  for (const span of forward) {
    if (longest !== undefined && longest.value.to >= span.value.from) {
      const [a, b] = longest.number < span.number ? [longest, span] : [span, longest];
      const last = Math.min(longest.value.to, span.value.to);
      const where = last === span.value.from ? `at frame ${last}` : `at frames ${span.value.from} to ${last}`;
      faults.push(
        `${place}${noun} ${a.number} (${spanText(a.value)}) and ${noun} ${b.number} (${spanText(b.value)}) overlap ${where}`,
      );
    }
    if (longest === undefined || span.value.to > longest.value.to) longest = span;
  }
  return faults;
};

const intentFaults = ({ place, carrier, intents }: PartPieces): string[] =>
  intents.flatMap(({ value, number }) => {
    const which = `${place}: intent ${number} (${spanText(value)})`;
    if (value.intent === "swapped" && value.wears === null) {
      return [`${which} has no "wears", the id of the piece that is worn`];
    }
    if (value.intent !== "swapped" && value.wears !== null) {
      return [`${which} wears '${value.wears}', which only a swapped part can`];
    }
    return value.intent === "rides" && carrier === null
      ? [`${which} has nothing to ride on: the part has no carrier`]
      : [];
  });

/** Frames outside the first and the last one of the shot. Gaps in between are no fault. */
const frameFaults = (
  shot: { readonly first: number; readonly last: number } | null,
  spans: readonly { readonly place: string; readonly from: number; readonly to: number }[],
): string[] => {
  if (shot === null) return [];
  const range = shot.first === shot.last ? `frame ${shot.first} alone` : `frames ${shot.first} to ${shot.last}`;
  return spans.flatMap(({ place, from, to }) => {
    if (from >= shot.first && to <= shot.last) return [];
    const said = from === to ? `is at frame ${from}` : `is from frame ${from} to ${to}`;
    return [`${place} ${said}, outside the shot, which has ${range}`];
  });
};

const outlineFaults = (part: PartPieces, { width, height }: ShotContext): string[] => {
  const faults: string[] = [];
  const numbers = new Map<number, number>();
  for (const { value, number } of part.outlines) {
    const place = `${part.place}: outline ${number}`;
    const earlier = numbers.get(value.frame);
    if (earlier !== undefined) faults.push(`${place} is at frame ${value.frame}, where outline ${earlier} is already`);
    else numbers.set(value.frame, number);
    const flat = (points: Outline["points"]) =>
      `has no area: its ${points.length} points, from (${points[0].join(", ")}) on, enclose nothing`;
    if (!enclosesArea(value.points)) faults.push(`${place} ${flat(value.points)}`);
    value.holes.forEach((hole, i) => {
      if (!enclosesArea(hole)) faults.push(`${place}: hole ${i + 1} ${flat(hole)}`);
    });
  }
  if (width === null || height === null || part.outlines.length === 0 || !part.allOutlines) return faults;
  if (part.outlines.some(({ value }) => isInPicture(value, width, height))) return faults;
  const [x, y] = part.outlines[0].value.points[0];
  faults.push(
    `${part.place} lies wholly outside the picture of ${width} x ${height} px: its first point is at (${x}, ${y})`,
  );
  return faults;
};

/** Ids that are there twice. The first one stands. */
const twice = (ids: readonly { readonly id: string | null; readonly place: string }[], noun: string): string[] => {
  const seen = new Map<string, string>();
  return ids.flatMap(({ id, place }) => {
    if (id === null) return [];
    const first = seen.get(id);
    if (first !== undefined)
      return [`${place} has the id '${id}', which ${first} has already; every ${noun} needs its own`];
    seen.set(id, place);
    return [];
  });
};

const carrierFaults = (parts: readonly PartPieces[]): string[] => {
  const faults: string[] = [];
  const carriers = new Map<string, string | null>();
  for (const { id, carrier } of parts) if (id !== null && !carriers.has(id)) carriers.set(id, carrier);
  for (const { place, carrier } of parts) {
    if (carrier !== null && !carriers.has(carrier)) {
      faults.push(`${place} has the carrier '${carrier}', which is no part of this sheet`);
    }
  }
  const done = new Set<string>();
  for (const start of carriers.keys()) {
    const chain: string[] = [];
    let id: string | null | undefined = start;
    while (typeof id === "string" && !done.has(id) && !chain.includes(id)) {
      chain.push(id);
      id = carriers.get(id);
    }
    const loop = typeof id === "string" ? chain.indexOf(id) : -1;
    if (loop >= 0) faults.push(`carriers run in a loop: ${[...chain.slice(loop), id].join(" -> ")}`);
    for (const link of chain) done.add(link);
  }
  return faults;
};

const shotFaults = (shot: unknown, within: { readonly first: number; readonly last: number } | null): string[] => {
  const { fps, cut, timecodeStart } = sheetShotSchema.shape;
  const raw = isObject(shot) ? shot : {};
  const rate = fps.safeParse(raw.fps).data;
  const start = timecodeStart.safeParse(raw.timecodeStart).data ?? null;
  const range = cut.safeParse(raw.cut).data ?? null;
  const faults: string[] = [];
  if (rate !== undefined && start !== null && framesOfTimecode(start, rate) === null) {
    faults.push(
      `shot: timecodeStart is ${JSON.stringify(start.slice(0, 60))}, which is no timecode at ${rate} frames a second`,
    );
  }
  if (range !== null) {
    const [from, to] = range;
    if (from > to) faults.push(`shot: cut (${from} to ${to}) ends before it begins`);
    else faults.push(...frameFaults(within, [{ place: "shot: cut", from, to }]));
  }
  return faults;
};

const markFaults = (marks: readonly Numbered<Mark>[], ids: ReadonlySet<string | null>): string[] =>
  marks.flatMap(({ value, number }) =>
    value.part === null || ids.has(value.part)
      ? []
      : [`mark ${number} (${value.kind}, frame ${value.frame}) is for '${value.part}', which is no part of this sheet`],
  );

const rangeOf = (frames: readonly number[]) => {
  let [first, last] = [Infinity, -Infinity];
  for (const frame of frames) [first, last] = [Math.min(first, frame), Math.max(last, frame)];
  return { first, last };
};

/** Every sentence (without the file's name) about values of a sheet that don't go together. `root` is what the file held. */
export const checkSheet = (root: Readonly<Record<string, unknown>>, context: ShotContext): string[] => {
  const parts = (Array.isArray(root.parts) ? root.parts : []).map(partPieces);
  const camera = pieces(root.camera, cameraIntentSchema);
  const marks = pieces(root.marks, markSchema);
  const within = context.frames.length === 0 ? null : rangeOf(context.frames);
  const at = (place: string, noun: string, list: readonly Numbered<{ readonly frame: number }>[]) =>
    list.map(({ value, number }) => ({ place: `${place}${noun} ${number}`, from: value.frame, to: value.frame }));
  const over = (place: string, noun: string, list: readonly Numbered<Span>[]) =>
    list
      .filter(({ value }) => value.from <= value.to)
      .map(({ value, number }) => ({ ...value, place: `${place}${noun} ${number} (${value.intent})` }));
  const down = sheetSchema.shape.down.safeParse(root.down).data;
  return [
    ...shotFaults(root.shot, within),
    ...(down !== undefined && Math.hypot(...down) < SHORTEST_DOWN
      ? [`down is (${down.join(", ")}), which points nowhere`]
      : []),
    ...spanFaults("", "camera intent", camera),
    ...frameFaults(within, over("", "camera intent", camera)),
    ...frameFaults(within, at("", "mark", marks)),
    ...markFaults(marks, new Set(parts.map(({ id }) => id))),
    ...twice(
      parts.map(({ id }, i) => ({ id, place: `part ${i + 1}` })),
      "part",
    ),
    ...twice(
      parts.flatMap(({ place, joints }) =>
        joints.map(({ value, number }) => ({ id: value.id, place: `${place}: joint ${number}` })),
      ),
      "joint",
    ),
    ...carrierFaults(parts),
    ...parts.flatMap((part) => [
      ...outlineFaults(part, context),
      ...spanFaults(`${part.place}: `, "intent", part.intents),
      ...intentFaults(part),
      ...frameFaults(within, [
        ...at(`${part.place}: `, "outline", part.outlines),
        ...at(`${part.place}: `, "joint", part.joints),
        ...over(`${part.place}: `, "intent", part.intents),
      ]),
    ]),
  ];
};
