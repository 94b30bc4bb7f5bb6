import { createStore } from "./store.ts";

export type GroundChoice = "dim" | "bright" | "system";

interface Settings {
  readonly ground: GroundChoice;
  /** Single-key shortcuts; off for people whose speech or switch control types letters by accident. */
  readonly keys: boolean;
}

const PLACE = "holdfast.settings";

function kept(): Settings {
  const first: Settings = { ground: "system", keys: true };
  try {
    const text: unknown = JSON.parse(localStorage.getItem(PLACE) ?? "null");
    if (typeof text !== "object" || text === null) return first;
    const ground = "ground" in text && (text.ground === "dim" || text.ground === "bright") ? text.ground : "system";
    return { ground, keys: !("keys" in text && text.keys === false) };
  } catch {
    // Storage is closed to the page, or holds what no version wrote: the look of the page is not worth a message.
    return first;
  }
}

export const settings = createStore<Settings>(kept());

const prefersDim = () => !matchMedia("(prefers-color-scheme: light)").matches;

export const groundNow = (choice: GroundChoice): "dim" | "bright" =>
  choice === "system" ? (prefersDim() ? "dim" : "bright") : choice;

/** Puts the ground on the page and keeps both settings, as long as the page is open. */
export function keepSettings(): void {
  const apply = () => {
    const { ground } = settings.get();
    document.documentElement.dataset.ground = groundNow(ground);
    try {
      localStorage.setItem(PLACE, JSON.stringify(settings.get()));
    } catch {
      // As above.
    }
  };
  apply();
  const query = matchMedia("(prefers-color-scheme: light)");
  query.addEventListener("change", apply);
  settings.listen(apply);
}
