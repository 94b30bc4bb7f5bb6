import { settings } from "../state/settings.ts";

const names = [
  "well",
  "page",
  "sheet",
  "line",
  "ink",
  "ink-2",
  "ink-3",
  "trace",
  "band",
  "band-edge",
  "hatch",
  "figure-edge",
  "signal",
  "signal-ink",
  "signal-edge",
] as const;

export type Colours = Readonly<Record<(typeof names)[number], string>>;

let read: Colours | null = null;

/** The ground's colours, for canvases, which no style sheet reaches. */
export function colours(): Colours {
  if (read === null) {
    const style = getComputedStyle(document.documentElement);
    read = Object.fromEntries(names.map((name) => [name, style.getPropertyValue(`--${name}`).trim()])) as Colours;
  }
  return read;
}

/** Calls back when the ground has changed and canvases must be drawn again. */
export function listenToGround(listener: () => void): () => void {
  return settings.listen(() => {
    read = null;
    // After the listener that puts the ground on the page, whichever was first.
    queueMicrotask(listener);
  });
}
