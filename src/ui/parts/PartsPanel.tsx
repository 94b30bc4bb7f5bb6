import { useEffect } from "react";
import { actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { counted } from "../../reports/words.ts";
import { session } from "../state/session.ts";
import { sheetEditing } from "../state/sheet-editing.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { drawing } from "./drawing.ts";
import { CARRY } from "./carry-drag.ts";
import { CarryGhost } from "./CarryGhost.tsx";
import { Refusal } from "./EditField.tsx";
import { FoundParts } from "./FoundParts.tsx";
import { JointList } from "./JointList.tsx";
import { MarkList } from "./MarkList.tsx";
import { OutlineKeys } from "./OutlineKeys.tsx";
import { ShotFields } from "./ShotFields.tsx";
import { OldResults } from "./OldResults.tsx";
import { PartForm } from "./PartForm.tsx";
import { PartList } from "./PartList.tsx";

/** The sheet beside the table: who is watched, and what they are. */
export function PartsPanel() {
  const sheet = useStore(session, (value) => value.sheet);
  const chosen = useStore(view, (value) => value.strip);
  const fresh = useStore(drawing, (value) => value.fresh);
  // A part that was drawn just now is named next.
  useEffect(() => {
    if (!session.get().sheet?.parts.some(({ id }) => id === fresh)) return;
    const field = document.querySelector<HTMLInputElement>('[data-focus="part-name"]');
    field?.focus();
    field?.select();
    drawing.set({ fresh: null });
  }, [fresh]);
  const part = sheet?.parts.find((each) => each.id === chosen) ?? null;
  const count = sheet?.parts.length ?? 0;
  return (
    // What scrolls must be reached by keyboard, though there may be nothing in it to press.
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex
    <aside className="side parts" aria-label="Parts and sheet" tabIndex={0}>
      <div className="parts-top">
        <header className="parts-head">
          <h1>{count === 0 ? "No parts yet" : counted(count, "part")}</h1>
          <History />
        </header>
        <OldResults always />
      </div>
      {count === 0 && (
        <p className="parts-lead">
          Draw round a part on the frame, corner by corner or in one stroke. Without parts Holdfast looks for them in
          the pictures by itself.
        </p>
      )}
      <div className="button-row">
        <ActionButton className={count === 0 ? "button strong" : "button"} action={actions.draw}>
          Draw a new part <Key action={actions.draw} />
        </ActionButton>
      </div>
      <FoundParts />
      {sheet && count > 0 && <PartList sheet={sheet} />}
      {sheet && count > 1 && (
        <p className="part-note carry-note">
          To say what a part rides on, drag it onto that, here or on the figure; or choose it and pick from the list
          below.
        </p>
      )}
      <Refusal field={CARRY} />
      <CarryGhost />
      {sheet && part && <PartForm key={part.id} part={part} sheet={sheet} />}
      {part && <OutlineKeys part={part} />}
      {part && <JointList part={part} />}
      {sheet && <MarkList sheet={sheet} />}
      {session.get().report && <ShotFields />}
    </aside>
  );
}

/** Undo and redo, and what they would do. */
function History() {
  const { past, future, told } = useStore(sheetEditing, (value) => value);
  const last = past.at(-1);
  return (
    <>
      <div className="parts-history">
        <ActionButton className="button small" action={actions.undo} isDisabled={past.length === 0}>
          Undo <Key action={actions.undo} />
        </ActionButton>
        <ActionButton className="button small" action={actions.redo} isDisabled={future.length === 0}>
          Redo
        </ActionButton>
      </div>
      <p className="parts-told" role="status">
        {told !== "" ? told : last ? `Last edit: ${last.label}` : ""}
      </p>
    </>
  );
}
