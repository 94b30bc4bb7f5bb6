import { titled } from "../../reports/words.ts";
import type { Strip } from "./strips.ts";

/** Strips that belong together: those of one puppet, of the set, or found in the pictures. */
export interface StripGroup {
  readonly id: string;
  readonly name: string;
  readonly strips: readonly Strip[];
}

const SET = "set";
const FOUND = "found";

/** "Oda, copy A". */
export const puppetName = (puppet: string, copy: string | null): string =>
  `${titled(puppet)}${copy === null ? "" : `, copy ${copy}`}`;

/** Strips of the parts by puppet, in the order in which they stand; what a puppet's part carries is that puppet's. */
export function groupsOf(strips: readonly Strip[]): readonly StripGroup[] {
  const byId = new Map(strips.map((strip) => [strip.id, strip]));
  const ownerOf = (strip: Strip | undefined, depth = 0): Strip["part"] => {
    if (!strip?.part || depth > strips.length) return null;
    return strip.part.puppet === null ? ownerOf(byId.get(strip.part.carrier ?? ""), depth + 1) : strip.part;
  };
  const groups = new Map<string, { id: string; name: string; strips: Strip[] }>();
  for (const strip of strips) {
    const owner = ownerOf(strip);
    const [id, name] = owner?.puppet
      ? [`puppet ${owner.puppet} ${owner.copy ?? ""}`, puppetName(owner.puppet, owner.copy)]
      : strip.part?.kind === FOUND
        ? [FOUND, "Found in the pictures"]
        : [SET, "Set and props"];
    const group = groups.get(id) ?? { id, name, strips: [] };
    group.strips.push(strip);
    groups.set(id, group);
  }
  return [...groups.values()];
}
