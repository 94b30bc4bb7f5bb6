import { radians, px } from "../../units/index.ts";
import { heldMotion } from "../kinds/evidence/held-motion.ts";
import { heldSeries } from "../kinds/evidence/held-series.ts";
import { only, valueAt } from "../kinds/evidence/series-event.ts";
import type { Hold, JudgeInput } from "../series.ts";

/**
 * Takes what the part did by itself off a hold: the lines, steps and pops that explain it without an injection. The
 * noise stays.
 * @param plain the same hold as the frames have it
 */
export function withoutOwnDrift(
  hold: Hold,
  plain: Hold,
  frames: JudgeInput["frames"],
): { readonly hold: Hold; readonly taken: boolean } {
  const clocks = new Map<number, number | null>(frames.map((row) => [row.frame, row.clock]));
  const series = heldSeries(plain, (frame) => clocks.get(frame) ?? null);
  const motion = series === null ? null : heldMotion(series, { outlines: [plain.outline], band: 0 });
  if (series === null || motion === null || motion.history.events.length === 0) return { hold, taken: false };
  const { history } = motion;
  const all = only(history, () => true);
  const own = new Map<number, Float64Array>(series.rows.map((row, i) => [row.frame, valueAt(history, all, i)]));
  const rows = hold.rows.map((row) => {
    const drift = own.get(row.frame);
    if (drift === undefined) return row;
    const turn = drift.length > 2 ? drift[2] : 0;
    return { ...row, dx: px(row.dx - drift[0]), dy: px(row.dy - drift[1]), turn: radians(row.turn - turn) };
  });
  return { hold: { ...hold, rows }, taken: true };
}
