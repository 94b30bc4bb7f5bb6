import { useLayoutEffect, useRef } from "react";
import type { BenchHold } from "../../reports/bench/holds.ts";
import { colours } from "../look/colours.ts";
import { groundOf, settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { fullHeight, paintSparks, perLine, SPARK } from "./hold-sparks.ts";

/** The latest holds of a row in one line, as many as fit. Words beside it say how many and how many drifted. */
export function SparkLine({ holds, width }: { readonly holds: readonly BenchHold[]; readonly width: number }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const ground = useStore(settings, groundOf);
  // Drawn anew on another ground.
  useLayoutEffect(() => {
    const place = canvas.current;
    const context = place?.getContext("2d");
    if (place == null || !context || width <= 0) return;
    const height = SPARK.height + 2;
    place.width = Math.round(width * devicePixelRatio);
    place.height = Math.round(height * devicePixelRatio);
    context.setTransform(devicePixelRatio, 0, 0, devicePixelRatio, 0, 0);
    paintSparks(context, width, holds.slice(-perLine(width)), fullHeight(holds), colours());
  }, [holds, width, ground]);
  return <canvas ref={canvas} className="spark-line" style={{ width, height: SPARK.height + 2 }} aria-hidden="true" />;
}
