import type { Flag } from "../model/index.ts";
import type { Signs } from "./signs.ts";

const degrees = (radians: number): number => (radians * 180) / Math.PI;
const rounded = (value: number): string => String(Math.round(value));

/** What a finding alone tells: its way, its joint, what it carries. */
export function geometrySigns({
  kind,
  direction,
  down,
  joint,
  pivot,
  carries,
}: Pick<Flag, "kind" | "direction" | "carries"> & {
  readonly down: readonly [number, number];
  /** Name of the joint that was told. */
  readonly joint: string | null;
  readonly pivot: readonly [number, number] | null;
}): Signs {
  const signs: { -readonly [Key in keyof Signs]: Signs[Key] } = {};
  if (direction !== null) {
    const along = (direction[0] * down[0] + direction[1] * down[1]) / (Math.hypot(...direction) * Math.hypot(...down));
    const angle = degrees(Math.acos(Math.max(-1, Math.min(1, along))));
    if (angle <= 45) signs.down = `it went down, within ${rounded(angle)}\u00b0 of gravity`;
    else if (angle >= 135) signs.up = `it went up, within ${rounded(180 - angle)}\u00b0 of straight up`;
    else signs.sideways = `it went sideways, ${rounded(angle)}\u00b0 off gravity`;
  }
  if (joint !== null) signs["pivot-on-joint"] = `it turned about the ${joint.charAt(0).toLowerCase()}${joint.slice(1)}`;
  else if (pivot !== null) signs["pivot-off-joint"] = "it turned about none of the joints of its chain";
  if (carries.length > 0)
    signs.carries = carries.length === 1 ? "one part went along" : `${carries.length} parts went along`;
  if (kind === "pop") signs["comes-back"] = "it was back in the next frame";
  return signs;
}
