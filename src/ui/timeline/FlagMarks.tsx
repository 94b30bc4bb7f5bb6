import { flagKindLabels } from "../../model/index.ts";
import { Mark } from "../marks/Mark.tsx";
import { MARK_WIDTH } from "../marks/marks.ts";
import { goToFlag } from "../state/looking.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { stripOfFlag } from "../strips/strips.ts";
import { fallsOn, yOf } from "./paint-strip.ts";
import type { Rows } from "./rows.ts";

const HEIGHT = 16;
const WIDTH = MARK_WIDTH + 4;

/** A mark on the frame from which something drifts: a small drawing of its trace, and a button that goes to it. */
export function FlagMarks({ rows, strips, scale, rowHeight }: Rows) {
  const chosen = useStore(view, (value) => value.flag);
  return strips.flags.map((flag) => {
    const row = rows.findIndex((strip) => strip.id === stripOfFlag(flag));
    if (row < 0) return null;
    const strip = rows[row];
    // Over the flag's first frame, on the side of the strip that the trace leaves free there.
    const first = strip.value[strips.indexOf.get(flag.from) ?? -1] ?? Number.NaN;
    const isLow = (Number.isNaN(first) ? yOf(strip, 0, 0, rowHeight) : yOf(strip, first, 0, rowHeight)) > rowHeight / 2;
    const top = isLow ? row * rowHeight + 1 : (row + 1) * rowHeight - HEIGHT - 1;
    const left = Math.min(scale.width - WIDTH, Math.max(0, scale.x(flag.from) - WIDTH / 2));
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
        <Mark kind={flag.kind} falls={fallsOn(strip, flag)} />
      </button>
    );
  });
}
