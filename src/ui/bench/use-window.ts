import { type RefObject, useLayoutEffect, useState } from "react";
import { flushSync } from "react-dom";

/** Rows drawn beyond each edge of the window, and in steps of how many they change. */
const BEYOND = 10;
const STEP = 5;

export interface Span {
  readonly from: number;
  readonly to: number;
}

/**
 * Which rows of a long list are near the window, where every row is as high as the next: the others are left out, until
 * the list is printed. Whichever of its ancestors scrolls.
 */
export function useWindow(list: RefObject<HTMLElement | null>, count: number, rowHeight: number): Span {
  const [span, setSpan] = useState<Span>({ from: 0, to: BEYOND * 2 });
  useLayoutEffect(() => {
    let asked = 0;
    let isPrinting = false;
    const look = () => {
      asked = 0;
      const place = list.current;
      if (place === null || isPrinting) return;
      const { top } = place.getBoundingClientRect();
      const from = Math.max(0, Math.floor((Math.floor(-top / rowHeight) - BEYOND) / STEP) * STEP);
      const to = Math.ceil((Math.ceil((window.innerHeight - top) / rowHeight) + BEYOND) / STEP) * STEP;
      setSpan((last) => (last.from === from && last.to === to ? last : { from, to: Math.max(from, to) }));
    };
    const later = () => {
      if (asked === 0) asked = requestAnimationFrame(look);
    };
    const beforePrint = () => {
      isPrinting = true;
      flushSync(() => setSpan({ from: 0, to: count }));
    };
    const afterPrint = () => {
      isPrinting = false;
      later();
    };
    look();
    // Scrolling doesn't bubble: it is caught on its way down.
    document.addEventListener("scroll", later, { capture: true, passive: true });
    window.addEventListener("resize", later);
    window.addEventListener("beforeprint", beforePrint);
    window.addEventListener("afterprint", afterPrint);
    return () => {
      cancelAnimationFrame(asked);
      document.removeEventListener("scroll", later, { capture: true });
      window.removeEventListener("resize", later);
      window.removeEventListener("beforeprint", beforePrint);
      window.removeEventListener("afterprint", afterPrint);
    };
  }, [list, count, rowHeight]);
  return { from: Math.min(span.from, Math.max(0, count - 1)), to: Math.min(span.to, count) };
}

/** Width of an element, px, as it changes; 0 before it is known. */
export function useWidth(place: RefObject<HTMLElement | null>): number {
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    const element = place.current;
    if (element === null) return;
    const observer = new ResizeObserver(([entry]) => setWidth(Math.floor(entry.contentRect.width)));
    observer.observe(element);
    return () => observer.disconnect();
  }, [place]);
  return width;
}
