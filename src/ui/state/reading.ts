import { createStore } from "./store.ts";

export const axisKinds = ["frames", "timecode", "feet", "time"] as const;
export type AxisKind = (typeof axisKinds)[number];

/** How numbers are told. */
interface Reading {
  readonly unit: "px" | "mm";
  readonly axis: AxisKind;
  /** True where the timeline keeps the playhead in sight while it plays. */
  readonly follow: boolean;
  /** True where sentences tell uncertainties too. */
  readonly exact: boolean;
  /** True where the chosen strip is read at the playhead without a pointer. */
  readonly pinned: boolean;
}

const PLACE = "holdfast.reading";

function kept(): Reading {
  const first: Reading = { unit: "px", axis: "frames", follow: true, exact: false, pinned: false };
  try {
    const text: unknown = JSON.parse(localStorage.getItem(PLACE) ?? "null");
    if (typeof text !== "object" || text === null) return first;
    const axis = axisKinds.find((each) => "axis" in text && each === text.axis) ?? first.axis;
    const is = (name: string) => (text as Record<string, unknown>)[name] === true;
    return {
      unit: "unit" in text && text.unit === "mm" ? "mm" : "px",
      axis,
      follow: !("follow" in text && text.follow === false),
      exact: is("exact"),
      pinned: is("pinned"),
    };
  } catch {
    // Storage is closed to the page, or holds what no version wrote.
    return first;
  }
}

export const reading = createStore<Reading>(kept());

/** Keeps what was chosen, as long as the page is open. */
export function keepReading(): void {
  reading.listen(() => {
    try {
      localStorage.setItem(PLACE, JSON.stringify(reading.get()));
    } catch {
      // As above.
    }
  });
}
