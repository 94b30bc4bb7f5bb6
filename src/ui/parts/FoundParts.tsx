import { Button } from "react-aria-components";
import { takeParts } from "../../model/edit/index.ts";
import type { Part } from "../../model/index.ts";
import { edit } from "../state/sheet-editing.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { found } from "./found.ts";

/** What a check without a sheet found: each piece to be taken into the sheet, or not, one by one or all at once. */
export function FoundParts() {
  const { parts: proposed, left } = useStore(found, (value) => value);
  const sheet = useStore(session, (value) => value.sheet);
  // Taken already: a part of the sheet that was drawn with this very outline.
  const taken = new Set(sheet?.parts.flatMap((part) => part.outlines.map((outline) => JSON.stringify(outline.points))));
  const parts = proposed.filter((part) => !left.has(part.id) && !taken.has(JSON.stringify(part.outlines[0].points)));
  if (parts.length === 0) return null;
  const take = (some: readonly Part[]) => {
    const words = some.length === 1 ? `took ${some[0].name}` : `took ${some.length} parts that were found`;
    if (edit(words, (now, context) => takeParts(now, some, context), "found")) {
      const last = session.get().sheet?.parts.at(-1);
      if (some.length === 1 && last) view.set({ strip: last.id, flag: null });
    }
  };
  return (
    <section className="found-parts" aria-label="Found in the pictures">
      <h2>Found in the pictures</h2>
      <ul>
        {parts.map((part) => (
          <li
            key={part.id}
            onPointerEnter={() => view.set({ over: part.id })}
            onPointerLeave={() => view.set({ over: null })}
          >
            <span>{part.name}</span>
            <Button className="button small" aria-label={`Take ${part.name}`} onPress={() => take([part])}>
              Take
            </Button>
            <Button
              className="button small"
              aria-label={`Leave ${part.name}`}
              onPress={() => found.set({ left: new Set([...left, part.id]) })}
            >
              Leave
            </Button>
          </li>
        ))}
      </ul>
      {parts.length > 1 && (
        <Button className="button small" onPress={() => take(parts)}>
          Take all {parts.length}
        </Button>
      )}
    </section>
  );
}
