import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strips } from "../strips/strips.ts";
import { yOf } from "./paint-strip.ts";
import { longReading } from "./readout.ts";
import type { FrameScale } from "./scale.ts";
import type { Rows } from "./rows.ts";

const WIDTH = 244;
const GAP = 18;

/** The place on a strip that the pointer reads. */
export function ReadingDot({ rows, strips, scale, rowHeight }: Rows) {
  const reading = useStore(view, (value) => value.reading);
  if (!reading) return null;
  const x = scale.x(reading.frame);
  const row = rows.findIndex((strip) => strip.id === reading.strip);
  const value = row < 0 ? Number.NaN : rows[row].value[strips.indexOf.get(reading.frame) ?? -1];
  return (
    <>
      <div className="reading-line" style={{ left: x, height: rowHeight * rows.length }} aria-hidden="true" />
      {!Number.isNaN(value) && (
        <div
          className="reading-dot"
          style={{ left: x, top: yOf(rows[row], value, row * rowHeight, rowHeight) }}
          aria-hidden="true"
        />
      )}
    </>
  );
}

/** What the strip under the pointer says at that frame, beside the pointer and above all else. */
export function Reading({
  strips,
  scale,
  left,
  height,
  topOf,
}: {
  readonly strips: Strips;
  readonly scale: FrameScale;
  /** Where the strips begin, and how high the pane is, px. */
  readonly left: number;
  readonly height: number;
  readonly topOf: (strip: string) => { readonly top: number; readonly bottom: number };
}) {
  const reading = useStore(view, (value) => value.reading);
  const strip = strips.strips.find((each) => each.id === reading?.strip);
  if (!reading || !strip) return null;
  const { title, lines } = longReading(strip, strips.indexOf.get(reading.frame) ?? -1, reading.frame);
  const x = scale.x(reading.frame);
  const { top, bottom } = topOf(strip.id);
  return (
    <div
      className="reading"
      style={{
        left: left + (x + GAP + WIDTH > scale.width ? x - GAP - WIDTH : x + GAP),
        width: WIDTH,
        ...(top > height / 2 ? { bottom: height - top + 6 } : { top: bottom + 6 }),
      }}
    >
      <strong>{title}</strong>
      {lines.map((line) => (
        <span key={line}>{line}</span>
      ))}
    </div>
  );
}
