import type { Strip } from "../strips/strips.ts";
import { fixed } from "../../reports/words.ts";

/** The anchor is zero by definition and has none. */
function uncertain(value: number, sigma: number): string {
  if (!(sigma > 0) || (sigma < 0.0005 && Math.abs(value) < 0.0005)) return "";
  return sigma < 0.0005 ? " ± <0.001" : ` ± ${fixed(sigma, 3)}`;
}

/** What a strip says at a frame: a number with its unit and uncertainty, or a word for why there is none. */
export function shortReading(
  strip: Strip,
  index: number,
): { readonly words: string; readonly kind: "number" | "word" } {
  const value = strip.value[index];
  if (value === undefined) return { words: "", kind: "word" };
  if (!Number.isNaN(value)) {
    if (strip.unit === "stops")
      return { words: `${value >= 0.0005 ? "+" : ""}${fixed(value, 3)} stops`, kind: "number" };
    const sigma = strip.sigma[index];
    // Always three decimals: numbers in a column stand under each other.
    return {
      words: `${fixed(value, 3)}${uncertain(value, sigma)} px`,
      kind: "number",
    };
  }
  const ground = strip.ground[index];
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
  if (kind === "word" && words === "") return { title, lines: ["Not measured yet."] };
  if (kind === "word") return { title, lines: [strip.why[index] ? `No number: ${strip.why[index]}.` : words] };
  const band = strip.unit === "stops" ? `band ±${fixed(strip.band, 3)} stops` : `band ±${fixed(strip.band, 2)} px`;
  const anchor = strip.anchor[index];
  const against = anchor === frame ? "the anchor: zero by definition" : anchor >= 0 ? `against frame ${anchor}` : "";
  const floor = strip.floor[index];
  return {
    title,
    lines: [
      words,
      [band, against].filter((each) => each !== "").join(", "),
      ...(Number.isNaN(floor) || anchor === frame ? [] : [`smallest drift that could be seen: ${fixed(floor, 3)} px`]),
    ],
  };
}
