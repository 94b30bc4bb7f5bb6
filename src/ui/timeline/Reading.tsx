import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strips } from "../strips/strips.ts";
import { yOf } from "./paint-strip.ts";
import { longReading } from "./readout.ts";
import type { FrameScale } from "./scale.ts";

const WIDTH = 244;

/** What the strip under the pointer says at that frame, beside the pointer. */
export function Reading({
  strips,
  scale,
  rowHeight,
}: {
  readonly strips: Strips;
  readonly scale: FrameScale;
  readonly rowHeight: number;
}) {
  const reading = useStore(view, (value) => value.reading);
  const row = strips.strips.findIndex((strip) => strip.id === reading?.strip);
  if (!reading || row < 0) return null;
  const strip = strips.strips[row];
  const index = strips.indexOf.get(reading.frame) ?? -1;
  const { title, lines } = longReading(strip, index, reading.frame);
  const x = scale.x(reading.frame);
  const value = strip.value[index];
  const left = x + 18 + WIDTH > scale.width ? x - 18 - WIDTH : x + 18;
  const isLow = row >= strips.strips.length / 2;
  return (
    <>
      <div className="reading-line" style={{ left: x, height: rowHeight * strips.strips.length }} aria-hidden="true" />
      {!Number.isNaN(value) && (
        <div
          className="reading-dot"
          style={{ left: x, top: yOf(strip, value, row * rowHeight, rowHeight) }}
          aria-hidden="true"
        />
      )}
      <div
        className="reading"
        style={{
          left,
          width: WIDTH,
          ...(isLow ? { bottom: rowHeight * (strips.strips.length - row) + 6 } : { top: (row + 1) * rowHeight + 6 }),
        }}
      >
        <strong>{title}</strong>
        {lines.map((line) => (
          <span key={line}>{line}</span>
        ))}
      </div>
    </>
  );
}
