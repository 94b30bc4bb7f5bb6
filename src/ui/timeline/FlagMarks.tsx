import { flagKindLabels } from "../../model/index.ts";
import { Mark } from "../marks/Mark.tsx";
import { MARK_WIDTH } from "../marks/marks.ts";
import { useScale } from "../state/lane.ts";
import { goToFlag } from "../state/looking.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { stripOfFlag } from "../strips/strips.ts";
import { useVerdictClass } from "../verdicts/VerdictState.tsx";
import { fallsOn, yOf } from "./paint-strip.ts";
import type { Rows } from "./rows.ts";
import { SCALE_ROOM } from "./scale.ts";

const HEIGHT = 16;
const WIDTH = MARK_WIDTH + 4;

/** A mark on the frame from which something drifts: a small drawing of its trace, and a button that goes to it. */
export function FlagMarks({ plan, from, to, strips }: Rows) {
  const chosen = useStore(view, (value) => value.flag);
  const verdictClass = useVerdictClass();
  const scale = useScale();
  /** Places that are taken, row by row: marks that would lie on each other stand side by side. */
  const taken = new Map<number, number>();
  const [top, bottom] = [plan.rows[from]?.top ?? 0, plan.rows[to - 1]?.top ?? -1];
  return strips.flags.map((flag) => {
    const row = plan.rowOf.get(stripOfFlag(flag));
    if (!row || row.top < top || row.top > bottom) return null;
    const strip = strips.strips.find((each) => each.id === stripOfFlag(flag));
    const x = scale.x(flag.from);
    // A drift that began before what is in sight keeps its mark at the edge, as long as it lasts.
    const lasts = scale.x(flag.to) >= SCALE_ROOM;
    if (!strip || x > scale.width || !lasts) return null;
    // Over the flag's first frame, on the side of the strip that the trace leaves free there.
    const first = strip.value[strips.indexOf.get(flag.from) ?? -1] ?? Number.NaN;
    const isLow = yOf(strip, Number.isNaN(first) ? 0 : first, 0, row.height) > row.height / 2;
    const place = isLow ? row.top + 1 : row.top + row.height - HEIGHT - 1;
    const free = taken.get(row.top) ?? Number.NEGATIVE_INFINITY;
    const left = Math.min(scale.width - WIDTH, Math.max(SCALE_ROOM - 4, x - WIDTH / 2, free));
    taken.set(row.top, left + WIDTH + 2);
    const frames = flag.from === flag.to ? `frame ${flag.from}` : `frames ${flag.from} to ${flag.to}`;
    const words = `${strip.name}: ${flagKindLabels[flag.kind]}, ${frames}`;
    return (
      <button
        key={flag.id}
        type="button"
        className={`flag-mark ${verdictClass(flag.id)}${flag.id === chosen ? " chosen" : ""}${x < SCALE_ROOM ? " before" : ""}`}
        style={{ transform: `translate(${left}px, ${place}px)`, width: WIDTH, height: HEIGHT }}
        title={words}
        aria-label={words}
        aria-pressed={flag.id === chosen}
        onClick={() => goToFlag(flag)}
      >
        <Mark kind={flag.kind} falls={fallsOn(strip, flag)} />
      </button>
    );
  });
}
