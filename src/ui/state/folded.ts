import { createStore } from "./store.ts";

/** Groups of strips that are folded to their heading. Not kept: another shot has other puppets. */
export const folded = createStore<{ readonly groups: ReadonlySet<string> }>({ groups: new Set() });

export function fold(id: string, on: boolean): void {
  const groups = new Set(folded.get().groups);
  if (on) groups.add(id);
  else groups.delete(id);
  folded.set({ groups });
}
