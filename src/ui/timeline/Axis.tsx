import { useRef } from "react";
import { scaleNow, useScale } from "../state/lane.ts";
import { goTo, step } from "../state/looking.ts";
import { setRange, widenRange } from "../state/range.ts";
import { type AxisKind, reading } from "../state/reading.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { axisWords, dayWords, type FrameClock } from "../words/axis-words.ts";
import type { Happening } from "./happenings.ts";
import { HappeningMarks } from "./HappeningMarks.tsx";
import { RangeEnds } from "./RangeEnds.tsx";
import { type FrameScale, SCALE_ROOM } from "./scale.ts";

/** Room that a number takes, and how near to the playhead's one it may come, px. */
const room: Readonly<Record<AxisKind, { readonly apart: number; readonly crowded: number }>> = {
  frames: { apart: 72, crowded: 26 },
  timecode: { apart: 112, crowded: 88 },
  feet: { apart: 84, crowded: 50 },
  time: { apart: 92, crowded: 58 },
};

/** Where the frames are told over the strips, and the playhead's handle: a slider by keyboard, a ruler to scrub by pointer. */
export function Axis({
  frames,
  clock,
  happenings,
}: {
  readonly frames: readonly number[];
  readonly clock: FrameClock;
  readonly happenings: readonly Happening[];
}) {
  const frame = useStore(view, (value) => value.frame);
  const kind = useStore(reading, (value) => value.axis);
  const cut = useStore(session, ({ sheet, report }) => sheet?.shot.cut ?? report?.shot.cut ?? null);
  const scale = useScale();
  const held = useRef<{ readonly frame: number; readonly ranges: boolean } | null>(null);
  const frameAt = (event: React.PointerEvent) =>
    scaleNow().at(event.clientX - event.currentTarget.getBoundingClientRect().left);
  const isInSight = scale.x(frame) >= SCALE_ROOM - 1 && scale.x(frame) <= scale.width;
  const words = axisWords(frame, kind, clock) || String(frame);
  return (
    <div className="timeline-axis">
      <div
        className="axis-slider"
        role="slider"
        tabIndex={0}
        aria-label="Playhead"
        aria-valuemin={frames[0]}
        aria-valuemax={frames[frames.length - 1]}
        aria-valuenow={frame}
        aria-valuetext={`frame ${frame}${words === String(frame) ? "" : `, ${words}`}, at ${clock.fps} frames a second`}
        onKeyDown={(event) => {
          if (event.ctrlKey || event.altKey || event.metaKey) return;
          const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageUp: 10, PageDown: -10 }[event.key];
          if (by === undefined) return;
          event.preventDefault();
          view.set({ playing: false });
          if (event.shiftKey) widenRange(by);
          else step(by);
        }}
        onPointerDown={(event) => {
          if (event.button !== 0) return;
          const at = frameAt(event);
          held.current = { frame: at, ranges: event.shiftKey };
          event.currentTarget.setPointerCapture(event.pointerId);
          view.set({ playing: false });
          if (event.shiftKey) setRange(view.get().frame, at);
          else goTo(at);
        }}
        onPointerMove={(event) => {
          const { current } = held;
          if (!current) return;
          const at = frameAt(event);
          if (current.ranges && at !== current.frame) setRange(current.frame, at);
          goTo(at);
        }}
        onPointerUp={() => {
          held.current = null;
        }}
      />
      {scale.width > 0 && (
        <>
          <Ticks scale={scale} frame={isInSight ? frame : null} kind={kind} clock={clock} />
          {cut && <Cut scale={scale} cut={cut} frames={frames} />}
          <HappeningMarks happenings={happenings} withLength={kind === "time"} />
          <RangeEnds />
        </>
      )}
      {scale.width > 0 && isInSight && (
        <span className="playhead-number" style={{ transform: `translateX(calc(${scale.x(frame)}px - 50%))` }}>
          {words}
        </span>
      )}
    </div>
  );
}

function Ticks({
  scale,
  frame,
  kind,
  clock,
}: {
  readonly scale: FrameScale;
  /** The frame whose number the playhead shows; null where it is out of sight. */
  readonly frame: number | null;
  readonly kind: AxisKind;
  readonly clock: FrameClock;
}) {
  const { apart, crowded } = room[kind];
  const isNear = (x: number) => frame !== null && Math.abs(x - scale.x(frame)) < crowded;
  // A number that would be cut off at either end says nothing.
  const fits = (x: number) => x - crowded / 2 > SCALE_ROOM - 14 && x + crowded / 2 < scale.width + 14;
  const ticks = scale.ticks(apart).filter((tick) => fits(scale.x(tick)));
  const dayOf = (tick: number | undefined) =>
    kind === "time" && tick !== undefined ? dayWords(clock.timeOf(tick)) : "";
  return (
    <>
      {ticks.map((tick, i) => {
        const x = scale.x(tick);
        // The day stands where it is another one than at the number before.
        const day = dayOf(tick) === dayOf(ticks[i - 1]) ? "" : `${dayOf(tick)} `;
        return (
          <span
            key={tick}
            className={isNear(x) ? "tick hushed" : "tick"}
            style={{ transform: `translateX(calc(${x}px - 50%))` }}
          >
            {day}
            {axisWords(tick, kind, clock)}
          </span>
        );
      })}
      <span
        className={
          frame !== null && scale.x(frame) - SCALE_ROOM < crowded / 2 ? "tick scale-head hushed" : "tick scale-head"
        }
        style={{ transform: `translateX(calc(${SCALE_ROOM - 6}px - 100%))` }}
      >
        reach
      </span>
    </>
  );
}

/** Brackets about the frames that are used. */
function Cut({
  scale,
  cut,
  frames,
}: {
  readonly scale: FrameScale;
  readonly cut: readonly [number, number];
  readonly frames: readonly number[];
}) {
  if (cut[0] <= (frames[0] ?? 1) && cut[1] >= (frames.at(-1) ?? 1)) return null;
  const [left, right] = [scale.x(cut[0]) - scale.cell / 2, scale.x(cut[1]) + scale.cell / 2];
  return (
    <>
      {left >= SCALE_ROOM && left <= scale.width && (
        <span
          className="cut-end from"
          style={{ transform: `translateX(${left}px)` }}
          title={`The cut begins at frame ${cut[0]}`}
        />
      )}
      {right >= SCALE_ROOM && right <= scale.width && (
        <span
          className="cut-end to"
          style={{ transform: `translateX(calc(${right}px - 100%))` }}
          title={`The cut ends at frame ${cut[1]}`}
        />
      )}
    </>
  );
}
