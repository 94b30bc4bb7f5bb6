import { flagKindLabels } from "../../model/index.ts";
import { fixed } from "../../reports/words.ts";
import type { FarDrift } from "../strips/drift.ts";
import type { Strip } from "../strips/strips.ts";
import { inSentence } from "../words/in-sentence.ts";

/** The unit that lengths are told in, where a scale is known. */
export type LengthUnit = "px" | "mm";

/** Three decimals always: numbers in a column stand under each other. */
const DECIMALS = 3;

/** The unit that a strip is told in: mm only where its scale is known. */
export const unitOf = (strip: Pick<Strip, "unit" | "pxPerMm">, unit: LengthUnit): "px" | "mm" | "stops" =>
  strip.unit === "stops" ? "stops" : unit === "mm" && strip.pxPerMm !== null ? "mm" : "px";

const convert = (strip: Pick<Strip, "unit" | "pxPerMm">, unit: LengthUnit) =>
  unitOf(strip, unit) === "mm" ? 1 / (strip.pxPerMm ?? 1) : 1;

/** "0.250 ± 0.010 px": a value of a strip with its uncertainty, in the unit asked for where there is a scale. */
function told(strip: Strip, value: number, sigma: number, unit: LengthUnit): string {
  const times = convert(strip, unit);
  const sign = strip.unit === "stops" && value >= 0.0005 ? "+" : "";
  return `${sign}${fixed(value * times, DECIMALS)}${uncertain(value * times, sigma * times)} ${unitOf(strip, unit)}`;
}

/** The anchor is zero by definition and has none. */
function uncertain(value: number, sigma: number): string {
  if (!(sigma > 0) || (sigma < 0.0005 && Math.abs(value) < 0.0005)) return "";
  return sigma < 0.0005 ? " ± <0.001" : ` ± ${fixed(sigma, DECIMALS)}`;
}

/** A change of the light as a share of it: "−2.0 %". */
const percent = (stops: number) => `${stops > 0 ? "+" : ""}${fixed(100 * (2 ** stops - 1), 1)} %`;

/**
 * What a flagged part's far end did at a frame, where that lies on something it carries; the flag's own number at its
 * last frame. Null where there is no such flag at this frame.
 */
function farAt(
  strip: Strip,
  index: number,
): { readonly px: number; readonly sigma: number; readonly far: FarDrift } | null {
  const frame = strip.frames[index]!;
  const far = strip.far.find((each) => each.flag.from <= frame && frame <= each.flag.to && each.part !== strip.id);
  if (!far || Number.isNaN(far.value[index]!)) return null;
  const { flag } = far;
  return frame === flag.to && flag.px !== null
    ? { px: flag.px, sigma: flag.sigma ?? 0, far }
    : { px: far.value[index]!, sigma: far.sigma[index]!, far };
}

/** "±0.3 px", "2.0 px": how far a strip reaches, since each has its own scale. */
export function reachWords(strip: Strip, unit: LengthUnit = "px"): string {
  const reach = Math.max(strip.reach.low, strip.reach.high) * convert(strip, unit);
  const sign = Math.abs(strip.reach.low - strip.reach.high) < 1e-9 ? "±" : "";
  const decimals = strip.unit === "stops" || reach < 0.1 ? 2 : reach < 10 ? 1 : 0;
  return `${sign}${fixed(reach, decimals)} ${unitOf(strip, unit)}`;
}

/** True where a finding on this strip is told of a place on something that it carries: strip and number then differ. */
export const isToldElsewhere = (strip: Strip): boolean => strip.far.some(({ part }) => part !== strip.id);

/** "±0.30 px". */
export const bandWords = (strip: Strip, unit: LengthUnit = "px"): string =>
  `±${fixed(strip.band * convert(strip, unit), unitOf(strip, unit) === "px" ? 2 : 3)} ${unitOf(strip, unit)}`;

/** What stands out in the picture at a frame: "stray object, soft focus". */
function pictureWords(strip: Strip, index: number): string {
  const frame = strip.frames[index]!;
  const here = strip.flags.filter((flag) => flag.from <= frame && frame <= flag.to);
  return [...new Set(here.map((flag) => flagKindLabels[flag.kind]))].join(", ");
}

/** What a strip says at a frame: a number with its unit and uncertainty, or a word for why there is none. */
export function shortReading(
  strip: Strip,
  index: number,
  unit: LengthUnit = "px",
): { readonly words: string; readonly kind: "number" | "word" } {
  const value = strip.value[index];
  if (value === undefined) return { words: "", kind: "word" };
  if (strip.kind === "picture") return { words: pictureWords(strip, index), kind: "word" };
  if (!Number.isNaN(value)) {
    if (strip.reference[index]) return { words: "reference", kind: "word" };
    const far = farAt(strip, index);
    if (far !== null) return { words: `far end ${told(strip, far.px, far.sigma, unit)}`, kind: "number" };
    // Of a surface the report holds how far most of its places went (95 of 100): a limit, no size with an uncertainty.
    if (strip.told === "left-over" && Number.isNaN(strip.sigma[index]!))
      return { words: `up to ${fixed(value * convert(strip, unit), 2)} ${unitOf(strip, unit)}`, kind: "number" };
    const words = told(strip, value, strip.sigma[index]!, unit);
    // Where a file holds no uncertainty of it, its limit stands beside it.
    const isBare = strip.unit === "stops" && Number.isNaN(strip.sigma[index]!);
    return { words: isBare ? words.replace(/ stops$/u, `, limit ${bandWords(strip)}`) : words, kind: "number" };
  }
  const ground = strip.ground[index];
  if (ground === "stopped") return { words: "not reached", kind: "word" };
  if (strip.pending && ground !== "moves" && ground !== "hidden") return { words: "", kind: "word" };
  if (ground === "moves" || ground === "hidden") return { words: ground, kind: "word" };
  return { words: "not measured", kind: "word" };
}

/** The whole sentence for the tip under the pointer. */
export function longReading(
  strip: Strip,
  index: number,
  frame: number,
  unit: LengthUnit = "px",
): { readonly title: string; readonly lines: readonly string[] } {
  const { words, kind } = shortReading(strip, index, unit);
  const title = `${strip.name}, frame ${frame}`;
  if (strip.kind === "picture") return { title, lines: [words === "" ? "Nothing stands out here." : words] };
  if (kind === "word" && words === "") return { title, lines: ["Not measured yet."] };
  if (kind === "word" && !strip.reference[index])
    return { title, lines: [strip.why[index] ? `No number: ${strip.why[index]}.` : words] };
  const anchor = strip.anchor[index]!;
  const isReference = strip.reference[index]!;
  const floor = strip.floor[index]!;
  const far = farAt(strip, index);
  const value = strip.value[index]!;
  const first = isReference
    ? ["The reference: zero by definition."]
    : far === null
      ? [strip.unit === "stops" ? `${told(strip, value, strip.sigma[index]!, unit)} (${percent(value)})` : words]
      : [
          `by itself ${told(strip, value, strip.sigma[index]!, unit)}`,
          `far end of the ${inSentence(far.far.name)}: ${told(strip, far.px, far.sigma, unit)}`,
        ];
  const against = isReference || anchor < 0 ? "" : `, against frame ${anchor}`;
  const noScale = unit === "mm" && strip.unit === "px" && strip.pxPerMm === null;
  return {
    title,
    lines: [
      ...first,
      ...(strip.old ? ["Old: measured with the sheet as it was."] : []),
      strip.kind === "light"
        ? `limit ${bandWords(strip)} (${percent(strip.band).replace("+", "")}) in a single frame${against}; its own uncertainty isn't measured`
        : `band ${bandWords(strip, unit)}${against}`,
      `this strip reaches ${reachWords(strip, unit)}${far === null ? "" : ": what the part did by itself, not its far end"}`,
      ...(Number.isNaN(floor) || isReference
        ? []
        : [`smallest drift that could be seen: ${fixed(floor * convert(strip, unit), 3)} ${unitOf(strip, unit)}`]),
      ...(noScale ? ["in px: no scale is known here"] : []),
    ],
  };
}
