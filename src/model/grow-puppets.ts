import type { Puppet } from "./records.ts";
import type { Part, Sheet } from "./sheet.ts";

// A puppet's copies, parts and joints are shared by all of its shots, and grow from their sheets.

const idOf = (production: string, name: string) => `${production}/${name}`;

type ListedPart = Puppet["parts"][number];

/** A part with what the sheet says of it; what the sheet leaves open stays as it was known. */
function partWith(known: ListedPart | undefined, part: Part): ListedPart {
  const joints = new Map((known?.joints ?? []).map((joint) => [joint.id, joint]));
  for (const { id, name } of part.joints) joints.set(id, { ...joints.get(id), id, name });
  return {
    ...known,
    id: part.id,
    name: part.name,
    kind: part.kind,
    carrier: part.carrier ?? known?.carrier ?? null,
    build: part.build ?? known?.build ?? null,
    massGrams: part.massGrams ?? known?.massGrams ?? null,
    joints: [...joints.values()],
  };
}

/**
 * The puppets of a sheet, with what it adds to them: copies, parts and joints that are new, names that changed. Nothing
 * is taken away, since another shot may have it. Only puppets that changed are given back.
 *
 * @param known the production's puppets
 * @param now moment of the change, UTC
 */
export function growPuppets(
  known: readonly Puppet[],
  sheet: Sheet,
  production: string,
  now: string,
): readonly Puppet[] {
  const names = [...new Set(sheet.parts.flatMap(({ puppet }) => puppet ?? []))];
  return names.flatMap((name) => {
    const before = known.find((puppet) => puppet.production === production && puppet.name === name);
    const parts = new Map((before?.parts ?? []).map((part) => [part.id, part]));
    const copies = new Set(before?.copies);
    for (const part of sheet.parts) {
      if (part.puppet !== name) continue;
      parts.set(part.id, partWith(parts.get(part.id), part));
      if (part.copy !== null) copies.add(part.copy);
    }
    const grown: Puppet = {
      ...(before ?? { id: idOf(production, name), production, name, made: now }),
      copies: [...copies],
      parts: [...parts.values()],
      changed: before?.changed ?? now,
    };
    if (before && JSON.stringify(grown) === JSON.stringify(before)) return [];
    return [{ ...grown, changed: now }];
  });
}
