/**
 * Of the frames from one index to another those that a line must go through to look as though it went through all:
 * where several share a column of the screen, the first, the lowest, the highest and the last of each column stay, so
 * that a single frame that is out is never lost. A frame without a number stays where it breaks the line. Frames of
 * different tones never share a column.
 *
 * @param value NaN where there is no number
 * @param column of an index: a whole number that never falls
 * @param tone of an index, as a flagged frame has another colour
 */
export function thinOut(
  value: Float64Array,
  from: number,
  to: number,
  column: (index: number) => number,
  tone: (index: number) => number,
): readonly number[] {
  const kept: number[] = [];
  let i = from;
  while (i <= to) {
    const own = column(i);
    const colour = tone(i);
    const isGap = Number.isNaN(value[i]!);
    let [low, high, last] = [i, i, i];
    while (last + 1 <= to) {
      const next = last + 1;
      if (column(next) !== own || Number.isNaN(value[next]!) !== isGap || (!isGap && tone(next) !== colour)) break;
      last = next;
      if (value[last]! < value[low]!) low = last;
      if (value[last]! > value[high]!) high = last;
    }
    if (isGap) kept.push(i);
    else
      for (const each of [i, Math.min(low, high), Math.max(low, high), last]) if (kept.at(-1) !== each) kept.push(each);
    i = last + 1;
  }
  return kept;
}
