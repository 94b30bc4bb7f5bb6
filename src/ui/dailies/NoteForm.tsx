import { useState } from "react";
import { Button } from "react-aria-components";
import type { DailiesShot } from "../../reports/dailies/dailies.ts";
import { settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { WordsField } from "../workshop/fields.tsx";
import { addNote } from "./dailies-data.ts";

/** A note on a shot, or on one of its frames. */
export function NoteForm({ shot }: { readonly shot: DailiesShot }) {
  const known = useStore(settings, ({ who }) => who);
  const [isOpen, setOpen] = useState(false);
  const [text, setText] = useState("");
  const [frame, setFrame] = useState("");
  const [who, setWho] = useState(known);
  const [fault, setFault] = useState<string | null>(null);
  if (!isOpen)
    return (
      <Button className="link note-open" onPress={() => setOpen(true)}>
        Add a note
      </Button>
    );
  const { frames } = shot.source.report.shot;
  const add = () => {
    const number = frames.find((each) => String(each) === frame.trim());
    if (text.trim() === "") return setFault("Write the note.");
    if (frame.trim() !== "" && number === undefined)
      return setFault(`Frame ${frame.trim()} isn't one of ${frames[0]} to ${frames[frames.length - 1]}.`);
    addNote({ shot: shot.source.id, frame: number ?? null, part: null, text: text.trim(), who: who.trim() });
    settings.set({ who: who.trim() });
    setText("");
    setFrame("");
    setFault(null);
    setOpen(false);
  };
  return (
    <form
      className="note-form"
      onSubmit={(event) => {
        event.preventDefault();
        add();
      }}
    >
      <WordsField label="Note" value={text} onChange={setText} />
      <WordsField label="Frame, if any" value={frame} onChange={setFrame} />
      <WordsField label="Initials" value={who} onChange={setWho} />
      <div className="button-row">
        <Button className="button strong" type="submit">
          Keep it
        </Button>
        <Button className="button" onPress={() => setOpen(false)}>
          Not now
        </Button>
      </div>
      {fault !== null && (
        <p className="field-fault" role="alert">
          {fault}
        </p>
      )}
    </form>
  );
}
