import { useEffect, useLayoutEffect, useRef, useState } from "react";
import { surfaceOn } from "../look/canvas.ts";
import { colours, listenToGround } from "../look/colours.ts";
import { choose, goTo, step } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strips } from "../strips/strips.ts";
import { Figure } from "./Figure.tsx";
import { FlagMarks } from "./FlagMarks.tsx";
import { Leaders } from "./Leaders.tsx";
import { paintStrip } from "./paint-strip.ts";
import { Playhead } from "./Playhead.tsx";
import { Reading } from "./Reading.tsx";
import { AXIS_HEIGHT, frameScale, rowHeightFor } from "./scale.ts";
import { StripNames } from "./StripNames.tsx";
import { StripReadings } from "./StripReadings.tsx";

/** Sizes of the timeline's columns as the style sheet lays them out. */
interface Room {
  readonly figure: number;
  readonly tracks: number;
  readonly height: number;
}

/** The seismograph under the light table: figure, strips, marks and playhead. */
export function Timeline({ strips }: { readonly strips: Strips }) {
  const pane = useRef<HTMLDivElement>(null);
  const tracks = useRef<HTMLDivElement>(null);
  const figure = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const [room, setRoom] = useState<Room>({ figure: 0, tracks: 0, height: 0 });
  const [scrolled, setScrolled] = useState(0);

  useLayoutEffect(() => {
    const measure = () =>
      setRoom({
        figure: figure.current?.clientWidth ?? 0,
        tracks: tracks.current?.clientWidth ?? 0,
        height: pane.current?.clientHeight ?? 0,
      });
    const observer = new ResizeObserver(measure);
    if (pane.current) observer.observe(pane.current);
    if (tracks.current) observer.observe(tracks.current);
    measure();
    return () => observer.disconnect();
  }, []);

  const rowHeight = rowHeightFor(strips.strips.length, room.height);
  const height = rowHeight * strips.strips.length;
  const scale = frameScale(strips.frames, room.tracks);

  useEffect(() => {
    const element = canvas.current;
    if (!element || room.tracks === 0) return;
    const surface = surfaceOn(element, (context) => {
      const { over, strip: chosen, frame } = view.get();
      const carried = new Set(
        strips.flags.filter((flag) => flag.from <= frame && frame <= flag.to).flatMap((flag) => flag.carries),
      );
      for (const [row, strip] of strips.strips.entries()) {
        const lit = strip.id === over || strip.id === chosen;
        const top = row * rowHeight;
        paintStrip(context, strip, carried.has(strip.id), scale, strips.frames, top, rowHeight, lit, colours());
      }
    });
    let seen = { over: view.get().over, strip: view.get().strip, frame: -1 };
    const ends = [
      view.listen(() => {
        const { over, strip, frame } = view.get();
        if (seen.over === over && seen.strip === strip && seen.frame === frame) return;
        seen = { over, strip, frame };
        surface.draw();
      }),
      listenToGround(surface.draw),
    ];
    surface.draw();
    return () => {
      for (const end of ends) end();
      surface.end();
    };
  }, [strips, room, rowHeight]);

  const rowAt = (y: number) => strips.strips[Math.floor(y / rowHeight)] ?? null;
  const place = (event: React.PointerEvent) => {
    const box = event.currentTarget.getBoundingClientRect();
    return { frame: scale.at(event.clientX - box.left), strip: rowAt(event.clientY - box.top) };
  };
  const scrubbing = useRef(false);

  return (
    <section className="timeline" aria-label="Drift, strip by strip">
      <div className="timeline-pane" ref={pane}>
        <div className="timeline-figure" ref={figure}>
          {room.figure > 0 && room.height > 0 && <Figure strips={strips} width={room.figure} height={room.height} />}
        </div>
        <div className="timeline-scroll" onScroll={(event) => setScrolled(event.currentTarget.scrollTop)}>
          <div className="timeline-corner" />
          <Axis strips={strips} width={room.tracks} />
          <div className="timeline-corner timeline-unit">at the playhead</div>
          <StripNames strips={strips} rowHeight={rowHeight} />
          {/* The pointer's way to what the playhead's slider and the strips' buttons do by keyboard. */}
          <div
            className="timeline-tracks"
            ref={tracks}
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
            {room.tracks > 0 && <FlagMarks strips={strips} scale={scale} rowHeight={rowHeight} />}
            {room.tracks > 0 && <Playhead frames={strips.frames} scale={scale} height={height} />}
            {room.tracks > 0 && <Reading strips={strips} scale={scale} rowHeight={rowHeight} />}
          </div>
          <StripReadings strips={strips} rowHeight={rowHeight} />
        </div>
        {room.figure > 0 && (
          <Leaders
            strips={strips}
            figureWidth={room.figure}
            width={room.figure + 10}
            height={room.height}
            rowMiddle={(row) => AXIS_HEIGHT + row * rowHeight + rowHeight / 2 - scrolled}
          />
        )}
      </div>
    </section>
  );
}

/** Frame numbers over the strips, and the playhead's handle: a slider by keyboard, a ruler to scrub by pointer. */
function Axis({ strips, width }: { readonly strips: Strips; readonly width: number }) {
  const frame = useStore(view, (value) => value.frame);
  const fps = useStore(session, (value) => value.report?.shot.fps ?? 24);
  const scale = frameScale(strips.frames, width);
  const held = useRef(false);
  const ticks = width > 0 ? scale.ticks() : [];
  return (
    <div
      className="timeline-axis"
      role="slider"
      tabIndex={0}
      aria-label="Playhead"
      aria-valuemin={strips.frames[0]}
      aria-valuemax={strips.frames[strips.frames.length - 1]}
      aria-valuenow={frame}
      aria-valuetext={`frame ${frame}, at ${fps} frames a second`}
      onKeyDown={(event) => {
        if (event.shiftKey || event.ctrlKey || event.altKey || event.metaKey) return;
        const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageUp: 10, PageDown: -10 }[event.key];
        if (by === undefined) return;
        event.preventDefault();
        view.set({ playing: false });
        step(by);
      }}
      onPointerDown={(event) => {
        held.current = true;
        event.currentTarget.setPointerCapture(event.pointerId);
        view.set({ playing: false });
        goTo(scale.at(event.clientX - event.currentTarget.getBoundingClientRect().left));
      }}
      onPointerMove={(event) => {
        if (held.current) goTo(scale.at(event.clientX - event.currentTarget.getBoundingClientRect().left));
      }}
      onPointerUp={() => {
        held.current = false;
      }}
    >
      {ticks.map((tick) => (
        <span
          key={tick}
          className={Math.abs(scale.x(tick) - scale.x(frame)) < 26 ? "tick hushed" : "tick"}
          style={{ left: scale.x(tick) }}
        >
          {tick}
        </span>
      ))}
      {width > 0 && (
        <span className="playhead-number" style={{ left: scale.x(frame) }}>
          {frame}
        </span>
      )}
    </div>
  );
}
