import { lookCloser, pan, zoom } from "../state/look.ts";
import type { Place } from "./place.ts";
import { type TablePoint, tableTool } from "./tool.ts";

/** What the pointer is told of the table, and does to it. */
export interface UnderPointer {
  /** Where the frame lies that is seen at a distance from the canvas's left edge, CSS px: there may be two side by side. */
  place(screenX: number): Place;
  /** Size of the frame, px. */
  size(): { readonly width: number; readonly height: number };
  hover(at: TablePoint | null): void;
  click(at: TablePoint): void;
}

/** CSS px that a pointer may stray between down and up, and still have clicked. */
const STRAY = 4;
const WHEEL_LINES = 0.05;
const WHEEL_PIXELS = 0.0016;

/** Pan by one finger or the mouse, closer by wheel and two fingers, click and double-click; or the tool that is in hand. */
export function listenToPointer(element: HTMLCanvasElement, under: UnderPointer): () => void {
  const fingers = new Map<number, { x: number; y: number }>();
  /** What the finger or mouse that is down does. */
  let doing: "nothing" | "tool" | "click" | "pan" | "pinch" = "nothing";
  let at0 = { x: 0, y: 0 };

  const pointOf = (event: PointerEvent | MouseEvent): TablePoint => {
    const box = element.getBoundingClientRect();
    const [screenX, screenY] = [event.clientX - box.left, event.clientY - box.top];
    const place = under.place(screenX);
    return {
      x: (screenX - place.left) / place.scale,
      y: (screenY - place.top) / place.scale,
      screenX,
      screenY,
      place,
      event,
    };
  };
  const shareOf = (event: PointerEvent | MouseEvent, x = event.clientX, y = event.clientY): [number, number] => {
    const box = element.getBoundingClientRect();
    const [place, size] = [under.place(x - box.left), under.size()];
    return [
      (x - box.left - place.left) / place.scale / size.width,
      (y - box.top - place.top) / place.scale / size.height,
    ];
  };
  const panBy = (dx: number, dy: number) => {
    const [{ scale }, size] = [under.place(0), under.size()];
    pan(-dx / (size.width * scale), -dy / (size.height * scale));
  };

  const down = (event: PointerEvent) => {
    const isMiddle = event.button === 1;
    if (event.button !== 0 && !isMiddle) return;
    if (isMiddle) event.preventDefault();
    element.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (fingers.size > 1) {
      if (doing === "tool") tableTool.get().now?.cancel?.();
      doing = "pinch";
      return;
    }
    at0 = { x: event.clientX, y: event.clientY };
    if (isMiddle) doing = "pan";
    else doing = tableTool.get().now?.down?.(pointOf(event)) ? "tool" : "click";
  };

  const pinch = (event: PointerEvent) => {
    const [one, other] = [...fingers.entries()].slice(0, 2);
    const moved = one[0] === event.pointerId ? one : other[0] === event.pointerId ? other : null;
    if (!moved) return;
    const still = (moved === one ? other : one)[1];
    const before = moved[1];
    const now = { x: event.clientX, y: event.clientY };
    const was = Math.hypot(before.x - still.x, before.y - still.y);
    const is = Math.hypot(now.x - still.x, now.y - still.y);
    fingers.set(event.pointerId, now);
    panBy((now.x - before.x) / 2, (now.y - before.y) / 2);
    if (was > 8 && is > 8) zoom(is / was, shareOf(event, (now.x + still.x) / 2, (now.y + still.y) / 2));
  };

  const move = (event: PointerEvent) => {
    if (fingers.has(event.pointerId) && doing === "pinch") {
      pinch(event);
      return;
    }
    if (doing === "nothing" || doing === "tool") {
      if (tableTool.get().now?.move?.(pointOf(event))) return;
      if (doing === "nothing") under.hover(pointOf(event));
      return;
    }
    const last = fingers.get(event.pointerId);
    if (!last) return;
    if (doing === "click") {
      if (Math.hypot(event.clientX - at0.x, event.clientY - at0.y) < STRAY) return;
      doing = "pan";
    }
    panBy(event.clientX - last.x, event.clientY - last.y);
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  };

  const up = (event: PointerEvent) => {
    if (!fingers.delete(event.pointerId)) return;
    if (doing === "tool") tableTool.get().now?.up?.(pointOf(event));
    else if (doing === "click") under.click(pointOf(event));
    // The second of two fingers goes on as nothing: lifting it is no click.
    if (fingers.size === 0) doing = "nothing";
  };
  const cancel = (event: PointerEvent) => {
    if (!fingers.delete(event.pointerId)) return;
    if (doing === "tool") tableTool.get().now?.cancel?.();
    if (fingers.size === 0) doing = "nothing";
  };
  const leave = () => under.hover(null);
  const double = (event: MouseEvent) => {
    if (!tableTool.get().now?.doubleClick?.(pointOf(event))) lookCloser(shareOf(event));
  };
  const wheel = (event: WheelEvent) => {
    event.preventDefault();
    // A pinch on a trackpad comes as a wheel with Ctrl, in small steps.
    const unit = event.deltaMode === 1 ? WHEEL_LINES : event.ctrlKey ? 5 * WHEEL_PIXELS : WHEEL_PIXELS;
    zoom(Math.exp(-event.deltaY * unit), shareOf(event));
  };

  const follow = () => {
    element.style.cursor = tableTool.get().now?.cursor ?? "";
  };
  follow();
  const end = tableTool.listen(follow);
  element.addEventListener("pointerdown", down);
  element.addEventListener("pointermove", move);
  element.addEventListener("pointerup", up);
  element.addEventListener("pointercancel", cancel);
  element.addEventListener("pointerleave", leave);
  element.addEventListener("dblclick", double);
  element.addEventListener("wheel", wheel, { passive: false });
  return () => {
    end();
    element.removeEventListener("pointerdown", down);
    element.removeEventListener("pointermove", move);
    element.removeEventListener("pointerup", up);
    element.removeEventListener("pointercancel", cancel);
    element.removeEventListener("pointerleave", leave);
    element.removeEventListener("dblclick", double);
    element.removeEventListener("wheel", wheel);
  };
}
