import { Button } from "react-aria-components";
import { putOutline, removeOutline } from "../../model/edit/index.ts";
import type { Part } from "../../model/index.ts";
import { goTo } from "../state/looking.ts";
import { edit } from "../state/sheet-editing.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { outlineNow } from "./chosen.ts";
import { Refusal } from "./EditField.tsx";

/** Frames at which a part is drawn; between them its outline is carried along by what was measured. */
export function OutlineKeys({ part }: { readonly part: Part }) {
  const frame = useStore(view, (value) => value.frame);
  const isDrawn = part.outlines.some((outline) => outline.frame === frame);
  const field = `${part.id}.outlines`;
  return (
    <section className="part-block" aria-label="Outlines">
      <h2>Drawn at</h2>
      <ul className="key-list">
        {part.outlines.map((outline) => (
          <li key={outline.frame} className={outline.frame === frame ? "chip now" : "chip"}>
            <button type="button" onClick={() => goTo(outline.frame)}>
              frame {outline.frame}
              <small>
                {outline.points.length} corners{outline.holes.length > 0 && `, ${outline.holes.length} cut out`}
              </small>
            </button>
            {part.outlines.length > 1 && (
              <button
                type="button"
                className="chip-end"
                aria-label={`Remove the outline at frame ${outline.frame}`}
                onClick={() =>
                  edit(
                    `removed the outline of ${part.name} at frame ${outline.frame}`,
                    (sheet, context) => removeOutline(sheet, part.id, outline.frame, context),
                    field,
                  )
                }
              >
                ×
              </button>
            )}
          </li>
        ))}
      </ul>
      {!isDrawn && (
        <p className="part-note">
          Carried to frame {frame}.{" "}
          <Button
            className="link"
            onPress={() =>
              edit(
                `fixed the outline of ${part.name} at frame ${frame}`,
                (sheet, context) => putOutline(sheet, part.id, outlineNow(part), context),
                field,
              )
            }
          >
            Fix it here as it lies
          </Button>
          , or pull its corners.
        </p>
      )}
      <Refusal field={field} />
    </section>
  );
}
