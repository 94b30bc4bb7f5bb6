import { useEffect, useRef, useState } from "react";
import type { BenchHold } from "../../reports/bench/holds.ts";
import { measured } from "../../reports/words.ts";
import { surfaceOn } from "../look/canvas.ts";
import { colours, listenToGround } from "../look/colours.ts";
import { fullHeight, holdAt, linesFor, paintSparks, SPARK } from "./hold-sparks.ts";

const words = ({ hold, shotName }: BenchHold): string =>
  `${shotName}, frames ${hold.from} to ${hold.to}: ${measured(hold.px, hold.sigma, "px")}${hold.minutes === null ? "" : ` in ${Math.round(hold.minutes)} min`}`;

/** Each hold of a row as a small drawing. */
export function Sparks({ holds, label }: { readonly holds: readonly BenchHold[]; readonly label: string }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [width, setWidth] = useState(0);
  const [over, setOver] = useState<BenchHold | null>(null);
  useEffect(() => {
    const place = canvas.current;
    if (place === null) return;
    const full = fullHeight(holds);
    let seen = false;
    const surface = surfaceOn(place, (context, across) => {
      // Nobody pays for drawings that are far outside the window.
      if (seen) paintSparks(context, across, holds, full, colours());
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
  }, [holds]);
  const rows = Math.max(1, linesFor(holds.length, Math.max(1, width)));
  const height = rows * (SPARK.height + SPARK.line) - SPARK.line + 2;
  return (
    <span className="sparks">
      <canvas
        ref={canvas}
        role="img"
        aria-label={label}
        style={{ height: width === 0 ? SPARK.height + 2 : height }}
        onPointerMove={({ nativeEvent }) => setOver(holdAt(holds, width, nativeEvent.offsetX, nativeEvent.offsetY))}
        onPointerLeave={() => setOver(null)}
      />
      <span className="sparks-words">{over === null ? "\u00a0" : words(over)}</span>
    </span>
  );
}
