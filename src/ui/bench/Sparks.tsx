import { useEffect, useMemo, useRef, useState } from "react";
import type { BenchHold } from "../../reports/bench/holds.ts";
import { measured } from "../../reports/words.ts";
import { surfaceOn } from "../look/canvas.ts";
import { colours, listenToGround } from "../look/colours.ts";
import { fullHeight, holdAt, linesFor, paintSparks, perLine, SPARK } from "./hold-sparks.ts";

const words = ({ hold, shotName }: BenchHold): string =>
  `${shotName}, frames ${hold.from} to ${hold.to}: ${measured(hold.px, hold.sigma, "px")}${hold.minutes === null ? "" : ` in ${Math.round(hold.minutes)} min`}`;

/** Each hold of a row as a small drawing. `lines`: at most so many, the latest holds; null: all of them. */
export function Sparks({
  holds,
  label,
  lines = null,
}: {
  readonly holds: readonly BenchHold[];
  /** Left out where the drawing says nothing that words beside it don't. */
  readonly label?: string;
  readonly lines?: number | null;
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [width, setWidth] = useState(0);
  const [over, setOver] = useState<BenchHold | null>(null);
  const most = lines === null ? holds.length : lines * perLine(width);
  const shown = useMemo(() => (holds.length > most ? holds.slice(holds.length - most) : holds), [holds, most]);
  useEffect(() => {
    const place = canvas.current;
    if (place === null) return;
    const full = fullHeight(holds);
    let seen = false;
    const surface = surfaceOn(place, (context, across) => {
      // Nobody pays for drawings that are far outside the window.
      if (seen) paintSparks(context, across, shown, full, colours());
    });
    const watch = new IntersectionObserver(
      ([entry]) => {
        seen = entry.isIntersecting;
        if (seen) surface.draw();
      },
      { rootMargin: "400px" },
    );
    watch.observe(place);
    const size = new ResizeObserver(([entry]) => setWidth(entry.contentRect.width));
    size.observe(place);
    const end = listenToGround(surface.draw);
    return () => {
      watch.disconnect();
      size.disconnect();
      end();
      surface.end();
    };
  }, [holds, shown]);
  const rows = Math.max(1, Math.min(lines ?? Number.POSITIVE_INFINITY, linesFor(shown.length, Math.max(1, width))));
  const height = rows * (SPARK.height + SPARK.line) - SPARK.line + 2;
  return (
    <span className="sparks">
      <canvas
        ref={canvas}
        {...(label === undefined ? { "aria-hidden": true } : { role: "img", "aria-label": label })}
        style={{ height: width === 0 ? SPARK.height + 2 : height }}
        onPointerMove={({ nativeEvent }) => setOver(holdAt(shown, width, nativeEvent.offsetX, nativeEvent.offsetY))}
        onPointerLeave={() => setOver(null)}
      />
      {lines === null && <span className="sparks-words">{over === null ? "\u00a0" : words(over)}</span>}
    </span>
  );
}
