import type { ShotResult } from "./run-shot.ts";
import { type Case, casesOf, cleanTally, rowOf, rowsBy } from "./tally.ts";

/** One line of what must be reached, and whether it was. */
export interface ReachLine {
  readonly what: string;
  readonly value: number;
  readonly limit: number;
  readonly atMost: boolean;
  readonly reached: boolean;
  /** Shots to look at again. */
  readonly seeds: readonly number[];
}

const RECALL = 0.95;
/** Without a sheet, of what can be told there. */
const FOUND_RECALL = 0.9;
const FALSE_PER_HOLD = 1e-3;
const KIND = 0.97;
const PART = 0.99;
const PIVOT = 0.05;

const line = (what: string, value: number, limit: number, seeds: readonly number[], atMost = false): ReachLine => ({
  what,
  value,
  limit,
  atMost,
  reached: atMost ? value <= limit : value >= limit,
  seeds,
});

/** Every line that the shots at hand can say something about. */
export function reachLines(results: readonly ShotResult[], noSheet = false): ReachLine[] {
  const all = casesOf(results);
  const judged = all.filter((one) => one.judged);
  const lines: ReachLine[] = [];
  const clean = results.filter(({ recipe }) => recipe.startsWith("clean"));
  if (clean.length > 0) {
    const tally = cleanTally("clean", clean);
    lines.push(
      line("false flags a part-hold, bands opened", tally.open / tally.holds, FALSE_PER_HOLD, tally.seeds, true),
    );
    const usual = clean.filter(({ usual: { wrong } }) => wrong.length > 0).map(({ seed }) => seed);
    lines.push(line("false flags under the usual bands", tally.usual, 0, usual, true));
  }
  for (const row of rowsBy(judged, ({ name }) => name))
    if (row.visible.of > 0) {
      const beyond = row.recall.of - row.visible.of;
      const left = beyond === 0 ? "" : ` (${row.visible.of} of ${row.recall.of}; ${beyond} lie within anybody's noise)`;
      lines.push(line(`recall of ${row.name}${left}`, row.visible.share, noSheet ? FOUND_RECALL : RECALL, row.missed));
    }
  const seedsOf = (cases: readonly Case[]): number[] => [...new Set(cases.map(({ seed }) => seed))];
  const found = judged.filter((one) => one.found);
  const pooled = rowOf("all", judged);
  if (found.length > 0 && !noSheet) {
    const otherKind = found.filter(({ rightKind }) => !rightKind);
    lines.push(line("kind right", pooled.kind.share, KIND, seedsOf(otherKind)));
    lines.push(line("part right", pooled.part.share, PART, seedsOf(judged.filter(({ elsewhere }) => elsewhere))));
    const late = found.filter(({ onset }) => onset !== null && Math.abs(onset) > 3);
    lines.push(line("onset within 3 frames", pooled.onset.share, RECALL, seedsOf(late)));
  }
  const told = found.filter(({ joint }) => joint !== null);
  if (told.length > 0) {
    const off = told.filter(({ pivotOff }) => pivotOff === null || pivotOff > PIVOT);
    lines.push(line("pivot within 5 % of the limb", 1 - off.length / told.length, RECALL, seedsOf(off)));
    const wrong = told.filter(({ joint }) => joint === "wrong");
    lines.push(line("joint not wrong", 1 - wrong.length / told.length, KIND, seedsOf(wrong)));
  }
  return lines;
}
