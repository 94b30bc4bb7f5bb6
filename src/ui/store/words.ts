import type { ShotRecord } from "../../model/index.ts";
import { counted } from "../../reports/words.ts";

const day = (text: string) =>
  new Date(text).toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" });

/** "shot 2 Mar 2026", or when it was last open where the frames tell no day. */
export const dayInWords = (shot: ShotRecord): string =>
  shot.shootingDay === null ? `open ${day(shot.opened ?? shot.changed)}` : `shot ${day(shot.shootingDay)}`;

/** "hive_010", "hive_010, take 2". */
export const titleOf = ({ name, take }: ShotRecord): string => (take > 1 ? `${name}, take ${take}` : name);

/** "2 of 3 findings open". */
export function foundInWords({ found, report }: ShotRecord): string {
  if (report === null || found === undefined) return "not checked yet";
  if (found.flags === 0) return "nothing drifted";
  if (found.open === 0) return `${counted(found.flags, "finding")}, all judged`;
  return found.open === found.flags
    ? `${counted(found.open, "finding")} open`
    : `${found.open} of ${found.flags} findings open`;
}
