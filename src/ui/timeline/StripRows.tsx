import { useLayoutEffect, useRef } from "react";
import { surfaceOn, type Surface } from "../look/canvas.ts";
import { colours, listenToGround } from "../look/colours.ts";
import { lane, scaleNow } from "../state/lane.ts";
import { reading } from "../state/reading.ts";
import { session } from "../state/session.ts";
import { view } from "../state/view.ts";
import { IntentEdges } from "../parts/intents/IntentEdges.tsx";
import { FlagMarks } from "./FlagMarks.tsx";
import { useLanePointer } from "./lane-pointer.ts";
import { paintRows } from "./paint-rows.ts";
import { Playhead } from "./Playhead.tsx";
import { ReadingDot } from "./Reading.tsx";
import type { Rows } from "./rows.ts";
import { StripNames } from "./StripNames.tsx";
import { StripReadings } from "./StripReadings.tsx";
import { createTiles } from "./tiles.ts";

/** Some strips one under the other: names, traces on one canvas, and what they say at the playhead. */
export function StripRows(rows: Rows) {
  const { plan, from, to, strips } = rows;
  const canvas = useRef<HTMLCanvasElement>(null);
  const surface = useRef<Surface | null>(null);
  const shown = useRef(rows);
  // Before anything is painted: the painter reads what is shown from here.
  useLayoutEffect(() => {
    shown.current = rows;
  });
  const top = plan.rows[from]?.top ?? 0;
  const last = plan.rows[to - 1];
  const height = last ? last.top + last.height - top : 0;

  useLayoutEffect(() => {
    const element = canvas.current;
    if (!element) return;
    const tiles = createTiles();
    const made = surfaceOn(element, (context) => {
      const now = shown.current;
      const { over, strip, frame, range } = view.get();
      const { sheet, report } = session.get();
      const cut = sheet?.shot.cut ?? report?.shot.cut ?? null;
      const { unit } = reading.get();
      const look = { over, chosen: strip, frame, range, cut, unit };
      const inSight = now.plan.rows.slice(now.from, now.to);
      paintRows(context, tiles, inSight, now.strips, now.happenings, scaleNow(), look, colours());
    });
    surface.current = made;
    let seen = view.get();
    const ends = [
      view.listen(() => {
        const now = view.get();
        if (seen.over !== now.over || seen.strip !== now.strip || seen.frame !== now.frame || seen.range !== now.range)
          made.draw();
        seen = now;
      }),
      lane.listen(made.draw),
      reading.listen(made.draw),
      listenToGround(made.draw),
    ];
    return () => {
      for (const end of ends) end();
      made.end();
      surface.current = null;
    };
  }, []);

  // In the same breath as the rows: names and traces never part.
  useLayoutEffect(() => surface.current?.now(), [rows.plan, from, to, strips, rows.happenings]);

  const stripAt = (y: number) => {
    const row = plan.rows.find((each) => y >= each.top && y < each.top + each.height);
    return row?.kind === "strip" ? row.strip.id : null;
  };
  const pointer = useLanePointer(stripAt);

  return (
    <div className="strip-rows" style={{ height: plan.height }}>
      <StripNames plan={plan} from={from} to={to} />
      {/* The pointer's way to what the playhead's slider and the strips' buttons do by keyboard. */}
      <div className="timeline-tracks" {...pointer}>
        <canvas ref={canvas} className="timeline-canvas" style={{ top, height }} aria-hidden="true" />
        <FlagMarks {...rows} />
        <Playhead frames={strips.frames} height={plan.height} />
        <ReadingDot {...rows} />
        <IntentEdges plan={plan} />
      </div>
      <StripReadings plan={plan} from={from} to={to} strips={strips} />
    </div>
  );
}
