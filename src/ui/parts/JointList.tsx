import { useEffect } from "react";
import { removeJoint, renameJoint } from "../../model/edit/index.ts";
import type { Part } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { ActionButton } from "../frame/ActionButton.tsx";
import { goTo } from "../state/looking.ts";
import { edit } from "../state/sheet-editing.ts";
import { useStore } from "../state/store.ts";
import { drawing } from "./drawing.ts";
import { EditField } from "./EditField.tsx";

/** The joints of a part: where it turns about what carries it. */
export function JointList({ part }: { readonly part: Part }) {
  const fresh = useStore(drawing, (value) => value.fresh);
  useEffect(() => {
    if (!part.joints.some((joint) => joint.id === fresh)) return;
    const field = document.querySelector<HTMLInputElement>(`[data-focus="joint-${fresh}"]`);
    field?.focus();
    field?.select();
    drawing.set({ fresh: null });
  }, [fresh, part]);
  return (
    <section className="part-block" aria-label="Joints">
      <h2>Joints</h2>
      {part.joints.length > 0 && (
        <ul className="joint-list">
          {part.joints.map((joint) => (
            <li key={joint.id}>
              <EditField
                hideLabel
                label={`Name of the joint ${joint.name}`}
                field={`${part.id}.${joint.id}`}
                value={joint.name}
                focusKey={`joint-${joint.id}`}
                commit={(text) =>
                  edit(
                    `named the joint ${text.trim()}`,
                    (sheet, context) => renameJoint(sheet, part.id, joint.id, text.trim(), context),
                    `${part.id}.${joint.id}`,
                  )
                }
              />
              <button
                type="button"
                className="joint-place"
                title="Go to the frame in which it was set"
                onClick={() => goTo(joint.frame)}
                onPointerEnter={() => drawing.set({ joint: { id: joint.id, at: null } })}
                onPointerLeave={() => drawing.set({ joint: null })}
              >
                {Math.round(joint.at[0])}, {Math.round(joint.at[1])} <small>at {joint.frame}</small>
              </button>
              <button
                type="button"
                className="chip-end"
                aria-label={`Remove the joint ${joint.name}`}
                onClick={() =>
                  edit(`removed the joint ${joint.name}`, (sheet, context) =>
                    removeJoint(sheet, part.id, joint.id, context),
                  )
                }
              >
                ×
              </button>
            </li>
          ))}
        </ul>
      )}
      <ActionButton className="button small" action={actions.joint}>
        Set a joint on the frame
      </ActionButton>
    </section>
  );
}
