import type { Part, Sheet } from "../sheet.ts";

/** As text, keys in the order of the alphabet: a sheet that was read and one that was made have them in another. */
const plain = (value: unknown): string =>
  JSON.stringify(value, (_, item: unknown) =>
    typeof item === "object" && item !== null && !Array.isArray(item)
      ? Object.fromEntries(Object.entries(item).toSorted(([a], [b]) => (a < b ? -1 : 1)))
      : item,
  );

const same = (a: unknown, b: unknown): boolean => a === b || plain(a) === plain(b);

/** What one part's result depends on beside its name: everything but what stands on its label. */
const measured = ({ name: _name, puppet: _puppet, copy: _copy, ...rest }: Part) => rest;

/**
 * Parts whose results an edit makes old: those that were changed or are new, and all that ride on one, before or after,
 * at first or second hand. Null: all of them, camera and light too. A name alone makes nothing old.
 */
export const touchedParts = (before: Sheet | null, after: Sheet): ReadonlySet<string> | null => {
  if (before === null) return null;
  const whole = ({ shot, scale, down, downIntoPicture, camera, marks }: Sheet) => ({
    pass: shot.pass,
    cut: shot.cut,
    scale,
    down,
    downIntoPicture,
    camera,
    all: marks.filter(({ part }) => part === null),
  });
  if (!same(whole(before), whole(after))) return null;
  const touched = new Set<string>();
  const marksOf = (sheet: Sheet, id: string) => sheet.marks.filter(({ part }) => part === id);
  for (const part of after.parts) {
    const earlier = before.parts.find(({ id }) => id === part.id);
    const isSame = earlier !== undefined && same(measured(earlier), measured(part));
    if (!isSame || !same(marksOf(before, part.id), marksOf(after, part.id))) touched.add(part.id);
  }
  for (const part of before.parts) if (!after.parts.some(({ id }) => id === part.id)) touched.add(part.id);
  const parts = [...before.parts, ...after.parts];
  for (let size = -1; size !== touched.size; ) {
    size = touched.size;
    for (const { id, carrier } of parts) if (carrier !== null && touched.has(carrier)) touched.add(id);
  }
  return touched;
};
