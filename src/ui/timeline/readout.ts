import type { Strip } from "../strips/strips.ts";
import type { FarDrift } from "../strips/drift.ts";
import { flagKindLabels } from "../../model/index.ts";
import { inSentence } from "../words/in-sentence.ts";
import { fixed, measured } from "../../reports/words.ts";

/** The anchor is zero by definition and has none. */
function uncertain(value: number, sigma: number): string {
  if (!(sigma > 0) || (sigma < 0.0005 && Math.abs(value) < 0.0005)) return "";
  return sigma < 0.0005 ? " ± <0.001" : ` ± ${fixed(sigma, 3)}`;
}

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
export function reachWords(strip: Strip): string {
  const reach = Math.max(strip.reach.low, strip.reach.high);
  const sign = Math.abs(strip.reach.low - strip.reach.high) < 1e-9 ? "±" : "";
  if (strip.unit === "stops") return `${sign}${fixed(100 * (2 ** reach - 1), 0)} %`;
  return `${sign}${fixed(reach, reach < 10 ? 1 : 0)} px`;
}

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
): { readonly words: string; readonly kind: "number" | "word" } {
  const value = strip.value[index];
  if (value === undefined) return { words: "", kind: "word" };
  if (strip.kind === "picture") return { words: pictureWords(strip, index), kind: "word" };
  if (!Number.isNaN(value)) {
    if (strip.reference[index]) return { words: "reference", kind: "word" };
    // The light's uncertainty isn't in the file: its limit stands beside it.
    if (strip.unit === "stops") {
      return {
        words: `${value >= 0.0005 ? "+" : ""}${fixed(value, 3)}, limit ±${fixed(strip.band, 3)} stops`,
        kind: "number",
      };
    }
    const sigma = strip.sigma[index];
    const far = farAt(strip, index);
    if (far !== null) return { words: `${fixed(value, 2)}, far end ${fixed(far.px, 2)} px`, kind: "number" };
    // Always three decimals: numbers in a column stand under each other.
    return {
      words: `${fixed(value, 3)}${uncertain(value, sigma)} px`,
      kind: "number",
    };
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
): { readonly title: string; readonly lines: readonly string[] } {
  const { words, kind } = shortReading(strip, index);
  const title = `${strip.name}, frame ${frame}`;
  if (strip.kind === "picture") return { title, lines: [words === "" ? "Nothing stands out here." : words] };
  if (kind === "word" && words === "") return { title, lines: ["Not measured yet."] };
  if (kind === "word" && !strip.reference[index])
    return { title, lines: [strip.why[index] ? `No number: ${strip.why[index]}.` : words] };
  const band = strip.unit === "stops" ? `band ±${fixed(strip.band, 3)} stops` : `band ±${fixed(strip.band, 2)} px`;
  const anchor = strip.anchor[index];
  const against = strip.reference[index] ? "" : anchor >= 0 ? `against frame ${anchor}` : "";
  const floor = strip.floor[index];
  const far = farAt(strip, index);
  return {
    title,
    lines: [
      ...(far === null
        ? [strip.reference[index] ? "The reference: zero by definition." : words]
        : [
            `by itself ${measured(strip.value[index]!, strip.sigma[index]!, "px")}`,
            `far end of the ${inSentence(far.far.name)}: ${measured(far.px, far.sigma, "px")}`,
          ]),
      [band, against].filter((each) => each !== "").join(", "),
      `scale of this strip: ${reachWords(strip)}`,
      ...(Number.isNaN(floor) || strip.reference[index]
        ? []
        : [`smallest drift that could be seen: ${fixed(floor, 3)} px`]),
    ],
  };
}
