import { goToScreen, screen } from "../state/screen.ts";
import { session } from "../state/session.ts";
import { createStore } from "../state/store.ts";
import { steps } from "./steps.ts";

/** Stop of the tour that is up; null where it isn't on. */
export const tour = createStore<{ readonly at: number | null }>({ at: null });

/** Goes to the next stop in a direction whose place is on the screen; past the last one the tour is over. */
export function goTo(first: number, way: 1 | -1): void {
  for (let at = first; at >= 0 && at < steps.length; at += way) {
    steps[at].enter?.();
    const place = document.querySelector(steps[at].at);
    if (place) {
      place.scrollIntoView({ block: "nearest" });
      tour.set({ at: null });
      // Scrolling shuts what floats beside a place: it is over in the second frame from here.
      requestAnimationFrame(() => requestAnimationFrame(() => tour.set({ at })));
      return;
    }
  }
  if (way === 1) leaveTour();
}

/** There has to be something to show. */
export const canTour = (): boolean => ["", "shot"].includes(screen.get().now) && session.get().phase === "checked";

export function startTour(): void {
  goToScreen("shot");
  // What the stops stand at is drawn only after the screen has changed.
  requestAnimationFrame(() => goTo(0, 1));
}

export const leaveTour = (): void => tour.set({ at: null });
