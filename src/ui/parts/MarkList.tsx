import { changeMark, removeMark } from "../../model/edit/index.ts";
import type { Sheet } from "../../model/index.ts";
import { goTo } from "../state/looking.ts";
import { edit } from "../state/sheet-editing.ts";
import { EditField } from "./EditField.tsx";

/** What was done on set, frame by frame. */
export function MarkList({ sheet }: { readonly sheet: Sheet }) {
  if (sheet.marks.length === 0) return null;
  const nameOf = (id: string | null) =>
    id === null ? "everything" : (sheet.parts.find((part) => part.id === id)?.name ?? id);
  return (
    <section className="part-block" aria-label="Marks">
      <h2>Marks</h2>
      <ul className="mark-list">
        {sheet.marks.map((mark, index) => (
          <li key={`${mark.frame} ${mark.kind} ${mark.part}`}>
            <button type="button" className="joint-place" onClick={() => goTo(mark.frame)}>
              {mark.frame} {mark.kind} <small>{nameOf(mark.part)}</small>
            </button>
            <EditField
              hideLabel
              label={`Note at the ${mark.kind} of frame ${mark.frame}`}
              field={`mark.${index}`}
              value={mark.note}
              commit={(note) =>
                edit(
                  `noted at the ${mark.kind} of frame ${mark.frame}`,
                  (now, context) => changeMark(now, index, { note }, context),
                  `mark.${index}`,
                )
              }
            />
            <button
              type="button"
              className="chip-end"
              aria-label={`Remove the ${mark.kind} of frame ${mark.frame}`}
              onClick={() =>
                edit(`removed the ${mark.kind} at frame ${mark.frame}`, (now, context) =>
                  removeMark(now, index, context),
                )
              }
            >
              ×
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
