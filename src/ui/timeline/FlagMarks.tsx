import { flagKindLabels } from "../../model/index.ts";
import { Mark } from "../marks/Mark.tsx";
import { MARK_WIDTH } from "../marks/marks.ts";
import { goToFlag } from "../state/looking.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { stripOfFlag } from "../strips/strips.ts";
import { yOf } from "./paint-strip.ts";
import type { Rows } from "./rows.ts";

const HEIGHT = 18;
const WIDTH = MARK_WIDTH + 6;

/** A mark where each drift begins: a small drawing of its trace, and a button that goes to it. */
export function FlagMarks({ rows, strips, scale, rowHeight }: Rows) {
  const chosen = useStore(view, (value) => value.flag);
  return strips.flags.map((flag) => {
    const row = rows.findIndex((strip) => strip.id === stripOfFlag(flag));
    if (row < 0) return null;
    const strip = rows[row];
    // Before the onset, on the side that the trace goes to later: there the strip is free.
    const last = strip.value[strips.indexOf.get(flag.to) ?? -1] ?? 0;
    const falls = yOf(strip, Number.isNaN(last) ? 1 : last, 0, rowHeight) >= yOf(strip, 0, 0, rowHeight);
    const top = falls ? (row + 1) * rowHeight - HEIGHT - 1 : row * rowHeight + 1;
    const left = Math.min(scale.width - WIDTH, Math.max(0, scale.x(flag.from) - scale.cell / 2 - WIDTH - 2));
    const frames = flag.from === flag.to ? `frame ${flag.from}` : `frames ${flag.from} to ${flag.to}`;
    return (
      <button
        key={flag.id}
        type="button"
        className={`flag-mark${flag.id === chosen ? " chosen" : ""}`}
        style={{ left, top, width: WIDTH, height: HEIGHT }}
        title={`${strip.name}: ${flagKindLabels[flag.kind]}, ${frames}`}
        aria-label={`${strip.name}: ${flagKindLabels[flag.kind]}, ${frames}`}
        aria-pressed={flag.id === chosen}
        onClick={() => goToFlag(flag)}
      >
        <Mark kind={flag.kind} />
      </button>
    );
  });
}
