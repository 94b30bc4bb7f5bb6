import { useState } from "react";
import { Button } from "react-aria-components";
import { takeParts } from "../../model/edit/index.ts";
import { type Part, proposeSheet } from "../../model/index.ts";
import { edit } from "../state/sheet-editing.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";

/** What a check without a sheet found: each piece to be taken into the sheet, or not, one by one or all at once. */
export function FoundParts() {
  const report = useStore(session, (value) => value.report);
  const phase = useStore(session, (value) => value.phase);
  const sheet = useStore(session, (value) => value.sheet);
  const [refused, setRefused] = useState<ReadonlySet<string>>(new Set());
  const proposed = phase === "checked" && report ? (proposeSheet(report)?.parts ?? []) : [];
  // Taken already: a part of the sheet with this very outline.
  const taken = new Set(sheet?.parts.map((part) => JSON.stringify(part.outlines[0].points)));
  const parts = proposed.filter((part) => !refused.has(part.id) && !taken.has(JSON.stringify(part.outlines[0].points)));
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
      <h3>Found in the pictures</h3>
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
              onPress={() => setRefused(new Set([...refused, part.id]))}
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
