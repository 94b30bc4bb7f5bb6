import { useRef } from "react";
import { settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";

const LEAST = 150;
const STEP = 24;
/** What the picture must keep, px. */
const PICTURE = 220;

/** The edge between table and timeline: drag it, or move it with the arrow keys; a double click gives it back. */
export function Splitter() {
  const chosen = useStore(settings, (value) => value.timeline);
  const held = useRef<{ readonly y: number; readonly height: number } | null>(null);
  const heightOf = (element: Element) => element.parentElement?.getBoundingClientRect().height ?? LEAST;
  const set = (height: number) =>
    settings.set({ timeline: Math.round(Math.min(innerHeight - PICTURE, Math.max(LEAST, height))) });
  return (
    <div
      className="splitter"
      role="separator"
      tabIndex={0}
      aria-label="Height of the timeline"
      aria-orientation="horizontal"
      aria-valuenow={chosen ?? 0}
      aria-valuetext={chosen === null ? "as needed" : `${chosen} px`}
      onKeyDown={(event) => {
        const by = { ArrowUp: STEP, ArrowDown: -STEP }[event.key];
        if (by === undefined || event.shiftKey) return;
        event.preventDefault();
        set(heightOf(event.currentTarget) + by);
      }}
      onPointerDown={(event) => {
        held.current = { y: event.clientY, height: heightOf(event.currentTarget) };
        event.currentTarget.setPointerCapture(event.pointerId);
      }}
      onPointerMove={(event) => {
        if (held.current) set(held.current.height + held.current.y - event.clientY);
      }}
      onPointerUp={() => {
        held.current = null;
      }}
      onDoubleClick={() => settings.set({ timeline: null })}
    />
  );
}
