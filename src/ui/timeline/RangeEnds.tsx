import { useRef } from "react";
import { scaleNow, useScale } from "../state/lane.ts";
import { framesNow, goTo } from "../state/looking.ts";
import { dropRange, moveRangeEnd } from "../state/range.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { SCALE_ROOM } from "./scale.ts";

/** The range of frames on the axis, and its two ends, which can be dragged and moved by the arrow keys. */
export function RangeEnds() {
  const range = useStore(view, (value) => value.range);
  const scale = useScale();
  if (range === null) return null;
  const [left, right] = [scale.x(range.from) - scale.cell / 2, scale.x(range.to) + scale.cell / 2];
  const [begin, end] = [Math.max(SCALE_ROOM, left), Math.min(scale.width, right)];
  return (
    <>
      {end > begin && (
        <div
          className="range-bar"
          style={{ transform: `translateX(${begin}px)`, width: end - begin }}
          aria-hidden="true"
        />
      )}
      {left >= SCALE_ROOM - 1 && left <= scale.width && <End end="from" frame={range.from} at={left} />}
      {right >= SCALE_ROOM && right <= scale.width + 1 && <End end="to" frame={range.to} at={right} />}
    </>
  );
}

function End({ end, frame, at }: { readonly end: "from" | "to"; readonly frame: number; readonly at: number }) {
  const held = useRef(false);
  const frames = framesNow();
  const move = (by: number) => {
    const next = frames[frames.indexOf(frame) + by];
    if (next === undefined) return;
    moveRangeEnd(end, next);
    goTo(next);
  };
  return (
    <div
      className={`range-end ${end}`}
      style={{ transform: `translateX(${at}px)` }}
      role="slider"
      tabIndex={0}
      aria-label={end === "from" ? "First frame of the range" : "Last frame of the range"}
      aria-valuemin={frames[0]}
      aria-valuemax={frames.at(-1)}
      aria-valuenow={frame}
      onKeyDown={(event) => {
        if (event.key === "Delete" || event.key === "Backspace") dropRange();
        const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageUp: 10, PageDown: -10 }[event.key];
        if (by === undefined) return;
        event.preventDefault();
        event.stopPropagation();
        move(by);
      }}
      onPointerDown={(event) => {
        event.stopPropagation();
        held.current = true;
        event.currentTarget.setPointerCapture(event.pointerId);
      }}
      onPointerMove={(event) => {
        if (!held.current) return;
        event.stopPropagation();
        const box = event.currentTarget.parentElement?.getBoundingClientRect();
        const to = scaleNow().at(event.clientX - (box?.left ?? 0) + (end === "from" ? 0.5 : -0.5) * scaleNow().cell);
        moveRangeEnd(end, to);
        goTo(to);
      }}
      onPointerUp={() => {
        held.current = false;
      }}
    />
  );
}
