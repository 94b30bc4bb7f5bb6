import type { MarkKind } from "../../model/index.ts";
import { useScale } from "../state/lane.ts";
import { goTo } from "../state/looking.ts";
import type { Happening } from "./happenings.ts";
import { SCALE_ROOM } from "./scale.ts";

/** What is done on set has a drawing of its own: a ring that closes, a hand's arrow down to its place, a torn edge, a pin. */
const paths: Readonly<Record<MarkKind, string>> = {
  reset: "M10.5 4.2A4.4 4.4 0 1 0 11.4 7M10.7 1.6V4.4H7.9",
  correction: "M7 1.5V9M3.8 6 7 9.2 10.2 6M3 12H11",
  break: "M5 1 3.5 4.2 6 7 3.5 9.8 5 13M10 1 8.5 4.2 11 7 8.5 9.8 10 13",
  anchor: "M3.5 2H10.5L7 8ZM7 8V12.5",
};

/** Resets, corrections, breaks and moved anchors on the axis; each leads to its frame. */
export function HappeningMarks({
  happenings,
  withLength,
}: {
  readonly happenings: readonly Happening[];
  /** True where a break says how long it was. */
  readonly withLength: boolean;
}) {
  const scale = useScale();
  const taken = new Set<number>();
  return happenings.map(({ kind, frame, before, part, length, words }) => {
    const x = kind === "break" && before !== null ? (scale.x(before) + scale.x(frame)) / 2 : scale.x(frame);
    if (x < SCALE_ROOM || x > scale.width - 4) return null;
    // Several at one frame stand side by side.
    let place = Math.round(x);
    while (taken.has(Math.floor(place / 25))) place += 25;
    taken.add(Math.floor(place / 25));
    return (
      <button
        key={`${kind} ${frame} ${part ?? ""}`}
        type="button"
        className={`happening ${kind}`}
        style={{ transform: `translateX(calc(${place}px - 50%))` }}
        title={words}
        aria-label={words}
        onClick={() => goTo(frame)}
      >
        <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
          <path d={paths[kind]} />
        </svg>
        {withLength && length !== "" && <small>{length}</small>}
      </button>
    );
  });
}
