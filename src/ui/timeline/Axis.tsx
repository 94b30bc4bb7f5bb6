import { useRef } from "react";
import { goTo, step } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { type FrameScale, SCALE_ROOM } from "./scale.ts";

/** Nearer to the playhead's number than this a tick's number would touch it, px. */
const CROWDED = 26;

/** Frame numbers over the strips, and the playhead's handle: a slider by keyboard, a ruler to scrub by pointer. */
export function Axis({ frames, scale }: { readonly frames: readonly number[]; readonly scale: FrameScale }) {
  const frame = useStore(view, (value) => value.frame);
  const fps = useStore(session, (value) => value.report?.shot.fps ?? 24);
  const held = useRef(false);
  const scrub = (event: React.PointerEvent) =>
    goTo(scale.at(event.clientX - event.currentTarget.getBoundingClientRect().left));
  return (
    <div
      className="timeline-axis"
      role="slider"
      tabIndex={0}
      aria-label="Playhead"
      aria-valuemin={frames[0]}
      aria-valuemax={frames[frames.length - 1]}
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
        scrub(event);
      }}
      onPointerMove={(event) => {
        if (held.current) scrub(event);
      }}
      onPointerUp={() => {
        held.current = false;
      }}
    >
      {scale.width > 0 &&
        scale.ticks().map((tick) => (
          <span
            key={tick}
            className={Math.abs(scale.x(tick) - scale.x(frame)) < CROWDED ? "tick hushed" : "tick"}
            style={{ left: scale.x(tick) }}
          >
            {tick}
          </span>
        ))}
      {scale.width > 0 && (
        <span
          className={scale.x(frame) - SCALE_ROOM < CROWDED / 2 ? "tick scale-head hushed" : "tick scale-head"}
          style={{ left: SCALE_ROOM - 6 }}
        >
          reach
        </span>
      )}
      {scale.width > 0 && (
        <span className="playhead-number" style={{ left: scale.x(frame) }}>
          {frame}
        </span>
      )}
    </div>
  );
}
