import type { FlagKind, Report } from "../../model/index.ts";
import { leftOut, unmeasuredParts } from "../../reports/coverage.ts";
import { counted, fixed } from "../../reports/words.ts";
import type { Strips } from "../strips/strips.ts";
import { spelled } from "../words/spelled.ts";

/** Kinds that are told of by what they are, not by where something went. */
const withoutDrift: ReadonlySet<FlagKind> = new Set(["soft", "light", "stray", "repeat"]);

function found(report: Report): string {
  const drifted = report.flags.filter((flag) => !withoutDrift.has(flag.kind)).length;
  const other = report.flags.length - drifted;
  const out = (noun: string) => `${counted(other, noun)} ${other === 1 ? "stands" : "stand"} out`;
  if (other === 0) return `${counted(drifted, "thing")} drifted`;
  return drifted === 0 ? out("thing") : `${counted(drifted, "thing")} drifted and ${out("other")}`;
}

/** The answer in words, before any number. */
export function answerOf(report: Report, state: "checking" | "checked" | "cancelled"): string {
  const count = report.flags.length;
  if (state === "checking")
    return count === 0 ? "Nothing so far" : `${spelled(count)} ${count === 1 ? "thing" : "things"} so far`;
  if (state === "cancelled") return `Cancelled. ${count === 0 ? "Nothing drifted" : found(report)} until then`;
  if (count > 0) return found(report);
  const blind = unmeasuredParts(report).filter((part) => part.tooMany);
  const blindIds = new Set(blind.map((part) => part.part));
  if (report.parts.length > 0 && report.parts.every((part) => blindIds.has(part.id))) return "Could not be measured";
  const whole = blind.length === 0 && leftOut(report).length === 0;
  return `Nothing drifted in ${counted(report.shot.frames.length, "frame")}${whole ? "" : ", as far as it could be measured"}`;
}

/** How fine the answer is: the middle one of the smallest drifts that the parts could have shown, px; null where not known. */
export function floorOf(strips: Strips): number | null {
  const floors = strips.strips
    .flatMap((strip) => [...strip.floor])
    .filter((floor) => !Number.isNaN(floor))
    .sort((a, b) => a - b);
  return floors.length === 0 ? null : floors[Math.floor(floors.length / 2)];
}

/** From which drift on something is said, and how finely it is told: "Parts are told to about 0.01 px; ...". */
export function finenessOf(report: Report, strips: Strips): string {
  const parts = strips.strips.filter((strip) => strip.kind === "part");
  const bands = parts.map((strip) => strip.band);
  const floor = floorOf(strips);
  if (bands.length === 0) return "";
  const [least, most] = [Math.min(...bands), Math.max(...bands)];
  const band = least === most ? `${least}` : `${least} to ${most}`;
  if (report.flags.length === 0) return `Nothing drifted by more than its band (${band} px for parts).`;
  const told = floor === null ? "" : `Parts are told to about ${fixed(floor, floor < 0.01 ? 3 : 2)} px; `;
  return `${told}${told === "" ? "A" : "a"} drift is flagged from ${band} px.`;
}
