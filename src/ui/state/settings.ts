import { createStore } from "./store.ts";

export type Ground = "dim" | "bright";

interface Settings {
  /** What a person chose; null: as the system has it. */
  readonly ground: Ground | null;
  /** What the system asks for. */
  readonly system: Ground;
  /** Single-key shortcuts; off for people whose speech or switch control types letters by accident. */
  readonly keys: boolean;
  /** True once the tour was taken or turned down. */
  readonly tourSeen: boolean;
  /** Height of the timeline, px; null: what it needs. */
  readonly timeline: number | null;
  /** Initials of whoever gives verdicts; empty: not said. */
  readonly who: string;
}

const PLACE = "holdfast.settings";
const bright = matchMedia("(prefers-color-scheme: light)");
const systemNow = (): Ground => (bright.matches ? "bright" : "dim");

function kept(): Settings {
  const first: Settings = { ground: null, system: systemNow(), keys: true, tourSeen: false, timeline: null, who: "" };
  try {
    const text: unknown = JSON.parse(localStorage.getItem(PLACE) ?? "null");
    if (typeof text !== "object" || text === null) return first;
    const ground = "ground" in text && (text.ground === "dim" || text.ground === "bright") ? text.ground : null;
    const timeline = "timeline" in text && typeof text.timeline === "number" ? text.timeline : null;
    return {
      ...first,
      ground,
      keys: !("keys" in text && text.keys === false),
      tourSeen: "tourSeen" in text && text.tourSeen === true,
      timeline,
      who: "who" in text && typeof text.who === "string" ? text.who : "",
    };
  } catch {
    // Storage is closed to the page, or holds what no version wrote: the look of the page is not worth a message.
    return first;
  }
}

export const settings = createStore<Settings>(kept());

export const groundOf = ({ ground, system }: Settings): Ground => ground ?? system;

/** Puts the ground on the page and keeps what was chosen, as long as the page is open. */
export function keepSettings(): void {
  const apply = () => {
    const { ground, keys, tourSeen, timeline, who } = settings.get();
    document.documentElement.dataset.ground = groundOf(settings.get());
    try {
      localStorage.setItem(PLACE, JSON.stringify({ ground, keys, tourSeen, timeline, who }));
    } catch {
      // As above.
    }
  };
  apply();
  settings.listen(apply);
  bright.addEventListener("change", () => settings.set({ system: systemNow() }));
}
