import { useEffect, useRef } from "react";
import { surfaceOn } from "../look/canvas.ts";
import { colours, listenToGround } from "../look/colours.ts";
import { choose, goTo } from "../state/looking.ts";
import { view } from "../state/view.ts";
import { FlagMarks } from "./FlagMarks.tsx";
import { paintStrip } from "./paint-strip.ts";
import { Playhead } from "./Playhead.tsx";
import { ReadingDot } from "./Reading.tsx";
import type { Rows } from "./rows.ts";
import { StripNames } from "./StripNames.tsx";
import { StripReadings } from "./StripReadings.tsx";

/** Some strips one under the other: names, traces on one canvas, and what they say at the playhead. */
export function StripRows({ rows, strips, scale, rowHeight }: Rows) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const scrubbing = useRef(false);
  const height = rowHeight * rows.length;

  useEffect(() => {
    const element = canvas.current;
    if (!element) return;
    const surface = surfaceOn(element, (context) => {
      const { over, strip: chosen, frame } = view.get();
      const carried = new Set(
        strips.flags.filter((flag) => flag.from <= frame && frame <= flag.to).flatMap((flag) => flag.carries),
      );
      for (const [row, strip] of rows.entries()) {
        const lit = strip.id === over || strip.id === chosen;
        const top = row * rowHeight;
        paintStrip(context, strip, carried.has(strip.id), scale, strips.frames, top, rowHeight, lit, colours());
      }
    });
    let seen = view.get();
    const ends = [
      view.listen(() => {
        const now = view.get();
        if (seen.over !== now.over || seen.strip !== now.strip || seen.frame !== now.frame) surface.draw();
        seen = now;
      }),
      listenToGround(surface.draw),
    ];
    surface.draw();
    return () => {
      for (const end of ends) end();
      surface.end();
    };
  }, [rows, strips, scale, rowHeight]);

  const place = (event: React.PointerEvent) => {
    const box = event.currentTarget.getBoundingClientRect();
    return {
      frame: scale.at(event.clientX - box.left),
      strip: rows[Math.floor((event.clientY - box.top) / rowHeight)] ?? null,
    };
  };

  return (
    <div className="strip-rows">
      <StripNames rows={rows} rowHeight={rowHeight} />
      {/* The pointer's way to what the playhead's slider and the strips' buttons do by keyboard. */}
      <div
        className="timeline-tracks"
        style={{ height }}
        onPointerDown={(event) => {
          if (event.button !== 0 || (event.target as Element).closest("button")) return;
          const at = place(event);
          scrubbing.current = true;
          event.currentTarget.setPointerCapture(event.pointerId);
          view.set({ playing: false });
          goTo(at.frame);
          if (at.strip && at.strip.id !== view.get().strip) choose(at.strip.id);
        }}
        onPointerMove={(event) => {
          const at = place(event);
          if (scrubbing.current) goTo(at.frame);
          view.set({
            over: at.strip?.id ?? null,
            reading: at.strip ? { strip: at.strip.id, frame: at.frame } : null,
          });
        }}
        onPointerUp={() => {
          scrubbing.current = false;
        }}
        onPointerLeave={() => view.set({ over: null, reading: null })}
      >
        <canvas ref={canvas} className="timeline-canvas" aria-hidden="true" />
        <FlagMarks rows={rows} strips={strips} scale={scale} rowHeight={rowHeight} />
        <Playhead frames={strips.frames} scale={scale} height={height} />
        <ReadingDot rows={rows} strips={strips} scale={scale} rowHeight={rowHeight} />
      </div>
      <StripReadings rows={rows} strips={strips} rowHeight={rowHeight} />
    </div>
  );
}
