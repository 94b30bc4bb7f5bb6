import { createStore } from "./store.ts";
import { type Look, view, wholeFrame } from "./view.ts";

// How close one looks, and where. `look.scale` counts from the whole frame on the table; what a pixel of the frame is on
// the screen depends on the table's size, which the table tells.

/** Largest pixel of the frame on the screen, px. */
const LARGEST_PIXEL = 40;
/** From this many screen pixels on the frame's own pixels are drawn as squares. */
export const CRISP = 8;

/** The whole frame on the table as it is now: screen px (CSS) to a px of the frame. */
export const tableSize = createStore<{ readonly fit: number }>({ fit: 1 });

const inside = (look: Look): Look => {
  const edge = 0.5 / look.scale;
  // A frame that is smaller than the table lies in its middle.
  const within = (value: number) => (edge >= 0.5 ? 0.5 : Math.min(1 - edge, Math.max(edge, value)));
  return look.scale === 1 ? wholeFrame : { scale: look.scale, x: within(look.x), y: within(look.y) };
};

/** The scale at which a pixel of the frame is one of the screen. */
const oneToOne = (): number => 1 / (tableSize.get().fit * devicePixelRatio);

export const isWhole = (): boolean => view.get().look.scale === 1;
export const isOneToOne = (): boolean => Math.abs(view.get().look.scale / oneToOne() - 1) < 1e-3;

type At = readonly [number, number];
const middle = (): At => [view.get().look.x, view.get().look.y];

/** Looks at a scale, keeping the place `at` (shares of the frame) where it is on the screen. */
function zoomTo(wanted: number, at: At): void {
  const { look } = view.get();
  const least = Math.min(1, oneToOne());
  const most = Math.max(1, LARGEST_PIXEL / tableSize.get().fit);
  const scale = Math.min(most, Math.max(least, wanted));
  const kept = look.scale / scale;
  view.set({ look: inside({ scale, x: at[0] + (look.x - at[0]) * kept, y: at[1] + (look.y - at[1]) * kept }) });
}

export const zoom = (factor: number, at: At = middle()): void => zoomTo(view.get().look.scale * factor, at);

/** By shares of the frame. */
export function pan(dx: number, dy: number): void {
  const { look } = view.get();
  view.set({ look: inside({ ...look, x: look.x + dx, y: look.y + dy }) });
}

export const lookAtAll = (): void => view.set({ look: wholeFrame });
export const lookAtPixels = (at: At = middle()): void => zoomTo(oneToOne(), at);

/** From the whole frame close to a place, at its own pixels or thrice as large; from anywhere else back to the whole. */
export function lookCloser(at: At): void {
  if (isWhole()) zoomTo(Math.max(3, oneToOne()), at);
  else lookAtAll();
}
