import { centroidOf } from "../../model/geometry.ts";
import type { ReportPart } from "../../model/index.ts";

const above = new Set(["head", "face", "eye", "hair", "skin"]);
const place: Readonly<Record<string, number>> = { prop: 1, set: 2, support: 3, found: 1 };

/**
 * Parts in the order in which one reads a body: head first, then what carries it, then each limb from its root
 * to its tip, from the top of the picture down; props, set and supports after the puppets.
 */
export function inBodyOrder<
  Part extends Pick<ReportPart, "id" | "kind" | "outline" | "puppet"> & { carrier?: string | null },
>(parts: readonly Part[]): readonly Part[] {
  const byId = new Map(parts.map((part) => [part.id, part]));
  const height = new Map(parts.map((part) => [part.id, centroidOf({ points: part.outline, holes: [] })[1]]));
  const byHeight = (a: Part, b: Part) => (height.get(a.id) ?? 0) - (height.get(b.id) ?? 0);
  const carried = new Map<string | null, Part[]>();
  for (const part of parts) {
    const carrier = part.carrier != null && byId.has(part.carrier) ? part.carrier : null;
    carried.set(carrier, [...(carried.get(carrier) ?? []), part]);
  }
  const puppets = [...new Set(parts.map((part) => part.puppet ?? null))];
  const rank = (part: Part) =>
    (place[part.kind] ?? 0) * 100 + (part.puppet === null ? 50 : puppets.indexOf(part.puppet));
  const ordered: Part[] = [];
  const seen = new Set<string>();
  const visit = (part: Part) => {
    if (seen.has(part.id)) return;
    seen.add(part.id);
    const riders = (carried.get(part.id) ?? []).toSorted(byHeight);
    for (const rider of riders) if (above.has(rider.kind) && !above.has(part.kind)) visit(rider);
    ordered.push(part);
    for (const rider of riders) visit(rider);
  };
  const roots = (carried.get(null) ?? []).toSorted((a, b) => rank(a) - rank(b) || byHeight(a, b));
  for (const root of roots) visit(root);
  for (const part of parts) visit(part);
  return ordered;
}
