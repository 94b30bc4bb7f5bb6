import { createStore } from "./store.ts";

const idOf = (hash: string): string => hash.replace(/^#/u, "");

/** The screen that is up, by its id, as it stands behind the # of the address; empty: the first one. */
export const screen = createStore<{ readonly now: string }>({ now: idOf(location.hash) });

/** Keeps up with links between screens and with the browser's back. */
export function listenToAddress(): void {
  window.addEventListener("hashchange", () => screen.set({ now: idOf(location.hash) }));
}

export function goToScreen(id: string): void {
  location.hash = id;
  screen.set({ now: id });
}
