import { useScale } from "../state/lane.ts";
import { reading as told } from "../state/reading.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strips } from "../strips/strips.ts";
import { together } from "../words/together.ts";
import type { Happening } from "./happenings.ts";
import { yOf } from "./paint-strip.ts";
import { longReading } from "./readout.ts";
import type { Rows } from "./rows.ts";
import { SCALE_ROOM } from "./scale.ts";

const WIDTH = 264;
const GAP = 18;

/** The place that is read: under the pointer, or the chosen strip at the playhead where that is asked for. */
function useReading(): { readonly strip: string; readonly frame: number } | null {
  const under = useStore(view, (value) => value.reading);
  const strip = useStore(view, (value) => value.strip);
  const frame = useStore(view, (value) => value.frame);
  const pinned = useStore(told, (value) => value.pinned);
  return under ?? (pinned && strip !== null ? { strip, frame } : null);
}

/** The place on a strip that is read. */
export function ReadingDot({ plan, strips }: Rows) {
  const reading = useReading();
  const scale = useScale();
  if (!reading) return null;
  const x = scale.x(reading.frame);
  if (x < SCALE_ROOM || x > scale.width) return null;
  const row = plan.rowOf.get(reading.strip);
  const strip = row?.kind === "strip" ? row.strip : null;
  const value = strip?.value[strips.indexOf.get(reading.frame) ?? -1] ?? Number.NaN;
  return (
    <>
      <div className="reading-line" style={{ left: x, height: plan.height }} aria-hidden="true" />
      {row && strip && !Number.isNaN(value) && (
        <div
          className="reading-dot"
          style={{ left: x, top: yOf(strip, value, row.top, row.height) }}
          aria-hidden="true"
        />
      )}
    </>
  );
}

/** What a strip says at a frame, beside the place and above all else. */
export function Reading({
  strips,
  happenings,
  left,
  height,
  topOf,
}: {
  readonly strips: Strips;
  readonly happenings: readonly Happening[];
  /** Where the strips begin, and how high the pane is, px. */
  readonly left: number;
  readonly height: number;
  readonly topOf: (strip: string) => { readonly top: number; readonly bottom: number };
}) {
  const reading = useReading();
  const scale = useScale();
  const unit = useStore(told, (value) => value.unit);
  const strip = strips.strips.find((each) => each.id === reading?.strip);
  if (!reading || !strip) return null;
  const { title, lines } = longReading(strip, strips.indexOf.get(reading.frame) ?? -1, reading.frame, unit);
  const here = happenings.filter(
    ({ frame, part }) => frame === reading.frame && (part === null || part === reading.strip),
  );
  const x = Math.min(scale.width, Math.max(SCALE_ROOM, scale.x(reading.frame)));
  const { top, bottom } = topOf(strip.id);
  return (
    <div
      className="reading"
      role="status"
      style={{
        left: left + (x + GAP + WIDTH > scale.width ? x - GAP - WIDTH : x + GAP),
        width: WIDTH,
        ...(top > height / 2 ? { bottom: height - top + 6 } : { top: bottom + 6 }),
      }}
    >
      <strong>{title}</strong>
      {lines.map((line) => (
        <span key={line}>{together(line)}</span>
      ))}
      {here.map(({ kind, words }) => (
        <span key={`${kind} ${words}`} className="reading-mark">
          {words}
        </span>
      ))}
    </div>
  );
}
