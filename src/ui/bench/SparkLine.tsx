import { useLayoutEffect, useRef } from "react";
import type { BenchHold } from "../../reports/bench/holds.ts";
import { colours } from "../look/colours.ts";
import { groundOf, settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { fullHeight, paintSparks, perLine, SPARK } from "./hold-sparks.ts";

/** Room for "12 earlier", px. */
const WORDS = 72;

/**
 * The latest holds of a row in one line, the last one at the right, as many as fit; how many there were before them stands
 * in front. Words beside it say how many and how many drifted.
 */
export function SparkLine({ holds, width }: { readonly holds: readonly BenchHold[]; readonly width: number }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const earlier = Math.max(0, holds.length - perLine(width));
  const room = earlier === 0 ? width : width - WORDS;
  const shown = Math.min(holds.length, perLine(room));
  const ground = useStore(settings, groundOf);
  // Drawn anew on another ground.
  useLayoutEffect(() => {
    const place = canvas.current;
    const context = place?.getContext("2d");
    if (place == null || !context || room <= 0) return;
    const height = SPARK.height + 2;
    place.width = Math.round(room * devicePixelRatio);
    place.height = Math.round(height * devicePixelRatio);
    context.setTransform(devicePixelRatio, 0, 0, devicePixelRatio, 0, 0);
    paintSparks(context, room, holds.slice(-shown), fullHeight(holds), colours());
  }, [holds, room, shown, ground]);
  return (
    <span className="spark-line" aria-hidden="true">
      {earlier > 0 && (
        <span className="spark-more" style={{ width: WORDS }}>
          {holds.length - shown} earlier
        </span>
      )}
      <canvas ref={canvas} style={{ width: room, height: SPARK.height + 2 }} />
    </span>
  );
}
