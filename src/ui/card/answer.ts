import type { Strips } from "../strips/strips.ts";
import { counted, spelled } from "../words/numbers.ts";
import { unmeasuredOf } from "./unmeasured.ts";

/** The answer in words, before any number. */
export function answerOf(strips: Strips, state: "checking" | "checked" | "cancelled"): string {
  const count = strips.flags.length;
  if (state === "checking")
    return count === 0 ? "Nothing so far" : `${spelled(count)} ${count === 1 ? "thing" : "things"} so far`;
  if (state === "cancelled")
    return count === 0
      ? "Cancelled. Nothing drifted until then"
      : `Cancelled. ${count} ${count === 1 ? "thing" : "things"} drifted until then`;
  if (count > 0) return `${count} ${count === 1 ? "thing" : "things"} drifted`;
  const blind = unmeasuredOf(strips);
  const parts = strips.strips.filter((strip) => strip.kind === "part");
  const seen = parts.filter((strip) => strip.value.some((value) => !Number.isNaN(value)));
  if (parts.length > 0 && seen.length === 0 && blind.length > 0) return "Could not be measured";
  if (blind.length > 0) return "Nothing drifted in what could be measured";
  return `Nothing drifted in ${counted(strips.frames.length, "frame")}`;
}

/** How fine the answer is: the middle one of the smallest drifts that the parts could have shown, px; null where not known. */
export function floorOf(strips: Strips): number | null {
  const floors = strips.strips
    .flatMap((strip) => [...strip.floor])
    .filter((floor) => !Number.isNaN(floor))
    .sort((a, b) => a - b);
  return floors.length === 0 ? null : floors[Math.floor(floors.length / 2)];
}
