import { useEffect, useRef } from "react";
import { isOnParts } from "../parts/open.ts";
import { scaleNow, scrollLane, zoomLane } from "../state/lane.ts";
import { choose, goTo } from "../state/looking.ts";
import { dropRange, setRange } from "../state/range.ts";
import { screen } from "../state/screen.ts";
import { view } from "../state/view.ts";

/** How much a turn of the wheel zooms: a usual notch is 100. */
const WHEEL = 0.0022;
/** Farther than this it was a drag, px. */
const DRAG = 4;

/** Wheel over the strips: with Ctrl or Command, and as a touchpad's pinch, it zooms; sideways or with Shift it scrolls. */
export function useLaneWheel(element: React.RefObject<HTMLElement | null>, left: () => number): void {
  useEffect(() => {
    const place = element.current;
    if (!place) return;
    const turn = (event: WheelEvent) => {
      const lines = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1;
      if (event.ctrlKey || event.metaKey) {
        event.preventDefault();
        zoomLane(Math.exp(-event.deltaY * lines * WHEEL), event.clientX - left());
        return;
      }
      const sideways = event.shiftKey && event.deltaX === 0 ? event.deltaY : event.deltaX;
      if (Math.abs(sideways) <= Math.abs(event.shiftKey ? 0 : event.deltaY)) return;
      event.preventDefault();
      scrollLane(sideways * lines);
    };
    // Not passive: the page's own zoom would answer too.
    place.addEventListener("wheel", turn, { passive: false });
    return () => place.removeEventListener("wheel", turn);
  }, [element, left]);
}

interface Finger {
  readonly x: number;
  readonly y: number;
}

/** Pointer over the frames: scrubs; with Shift it selects a range; two fingers zoom and scroll; the middle button drags. */
export function useLanePointer(stripAt: (y: number) => string | null) {
  const fingers = useRef(new Map<number, Finger>());
  const doing = useRef<{
    /** "touch": a finger that may yet be the first of two. */
    readonly what: "scrub" | "range" | "pan" | "touch";
    readonly frame: number;
    readonly x: number;
  } | null>(null);
  const placeOf = (event: React.PointerEvent) => {
    const box = event.currentTarget.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };
  const span = () => {
    const [a, b] = [...fingers.current.values()];
    return a && b ? { middle: (a.x + b.x) / 2, apart: Math.max(8, Math.abs(a.x - b.x)) } : null;
  };
  const reach = (frame: number, y: number) => {
    goTo(frame);
    const strip = stripAt(y);
    if (strip !== null && strip !== view.get().strip) choose(strip);
  };
  const end = (event: React.PointerEvent) => {
    fingers.current.delete(event.pointerId);
    const now = doing.current;
    doing.current = null;
    // Shift and a click without a drag: from the playhead to there.
    const at = placeOf(event);
    if (now?.what === "touch") reach(now.frame, at.y);
    if (now?.what === "range" && event.shiftKey && Math.abs(at.x - now.x) <= DRAG)
      setRange(view.get().frame, now.frame);
  };
  return {
    onPointerDown(event: React.PointerEvent) {
      if (
        (event.button !== 0 && event.button !== 1) ||
        (event.target as Element).closest("button, [role=slider].range-end, .intent-edge")
      )
        return;
      const at = placeOf(event);
      fingers.current.set(event.pointerId, at);
      event.currentTarget.setPointerCapture(event.pointerId);
      const frame = scaleNow().at(at.x);
      if (fingers.current.size > 1) {
        doing.current = null;
        return;
      }
      if (event.button === 1) {
        event.preventDefault();
        doing.current = { what: "pan", frame, x: at.x };
        return;
      }
      view.set({ playing: false });
      const strip = stripAt(at.y);
      // On the Parts screen a drag over a strip selects what is said of next; the axis still scrubs.
      const says = strip !== null && isOnParts(screen.get());
      const what = event.shiftKey || says ? "range" : event.pointerType === "touch" ? "touch" : "scrub";
      doing.current = { what, frame, x: at.x };
      if (event.shiftKey || what === "touch") return;
      if (says) dropRange();
      reach(frame, at.y);
    },
    onPointerMove(event: React.PointerEvent) {
      const at = placeOf(event);
      const frame = scaleNow().at(at.x);
      const finger = fingers.current.get(event.pointerId);
      if (finger && fingers.current.size === 2) {
        const before = span();
        fingers.current.set(event.pointerId, at);
        const now = span();
        if (before && now) {
          zoomLane(now.apart / before.apart, now.middle);
          scrollLane(before.middle - now.middle);
        }
        return;
      }
      if (finger) fingers.current.set(event.pointerId, at);
      if (doing.current?.what === "touch" && Math.abs(at.x - doing.current.x) > DRAG)
        doing.current = { ...doing.current, what: "scrub" };
      const { current } = doing;
      if (current?.what === "scrub") goTo(frame);
      else if (current?.what === "pan" && finger) scrollLane(finger.x - at.x);
      else if (current?.what === "range" && Math.abs(at.x - current.x) > DRAG) {
        setRange(current.frame, frame);
        goTo(frame);
      }
      const strip = stripAt(at.y);
      view.set({ over: strip, reading: strip === null ? null : { strip, frame } });
    },
    onPointerUp: end,
    onPointerCancel(event: React.PointerEvent) {
      fingers.current.delete(event.pointerId);
      doing.current = null;
    },
    onPointerLeave: () => view.set({ over: null, reading: null }),
  };
}
