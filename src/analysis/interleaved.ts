import { median } from "../measure/statistics/robust.ts";
import type { Warning } from "../model/index.ts";

// Several passes in one numbering (lit, matte, lit, matte) can't be told from one pass by their names, and comparing one
// with the other means nothing. Light that comes round every two or three frames gives them away.

const MOST_PASSES = 3;
/** Rounds that it takes to believe in. */
const ROUNDS = 3;
/** The passes differ by more than this, stops, and by so many times what one and the same pass does from round to round. */
const APART_STOPS = 0.3;
const APART_TIMES = 8;

/** @param stops light of each frame in order; NaN where it can't be told, which some passes are throughout */
export function interleavedPasses(stops: readonly number[]): Warning[] {
  for (let passes = 2; passes <= MOST_PASSES; passes++) {
    if (stops.length < ROUNDS * passes) return [];
    const groups = Array.from({ length: passes }, (_, k) => stops.filter((_value, i) => i % passes === k));
    const dark = groups.filter((group) => group.every(Number.isNaN));
    const lit = groups.filter((group) => group.every(Number.isFinite));
    if (dark.length + lit.length < passes || lit.length === 0) continue;
    const middles = lit.map((group) => median(group));
    const apart = Math.max(...middles) - Math.min(...middles);
    const rounds = lit.flatMap((group) => group.slice(1).map((value, i) => Math.abs(value - group[i])));
    const differs = apart > APART_STOPS && apart > APART_TIMES * median(rounds);
    if (!differs && dark.length === 0) continue;
    const how = differs
      ? `light changes by ${apart.toFixed(1)} stops and back`
      : "light can't be told and can be again";
    return [
      {
        code: "passes-in-one-numbering",
        detail: `${how} every ${passes} frames: these look like ${passes} passes in one numbering, which can't be told apart here. Give each pass a name of its own (name_beauty_0001.jpg, name_matte_0001.jpg)`,
      },
    ];
  }
  return [];
}
