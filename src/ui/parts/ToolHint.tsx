import { Button } from "react-aria-components";
import { useStore } from "../state/store.ts";
import { closeRing, giveUp, ON_TABLE } from "./closing.ts";
import { drawing, takePointBack } from "./drawing.ts";
import { Refusal } from "./EditField.tsx";

/** What the tool in hand waits for, over the foot of the picture, with buttons for what keys do. */
export function ToolHint() {
  const { tool } = useStore(drawing, (value) => value);
  const count = useStore(drawing, (value) => value.points.length);
  if (tool === null) return null;
  return (
    <div className="tool-hint">
      <div className="tool-hint-words" role="status">
        {count === 0
          ? "Click corner by corner, or draw round with the button held. By keys: arrows move the cross, Enter sets a corner."
          : count < 3
            ? `${count === 1 ? "One corner" : "Two corners"} set: ${3 - count} more at least.`
            : "Close on the first corner, with a double click, or with Enter twice."}
        <Refusal field={ON_TABLE} />
      </div>
      {count >= 3 && (
        <Button className="button small strong" onPress={closeRing}>
          Close
        </Button>
      )}
      {count > 0 && (
        <Button className="button small" onPress={takePointBack}>
          One back <kbd>⌫</kbd>
        </Button>
      )}
      <Button className="button small" onPress={giveUp}>
        Give up <kbd>Esc</kbd>
      </Button>
    </div>
  );
}
