import { Button } from "react-aria-components";
import { useStore } from "../state/store.ts";
import { giveUp, ON_TABLE, takeSnap } from "./closing.ts";
import { drawing } from "./drawing.ts";
import { Refusal } from "./EditField.tsx";
import { dropSnap, lookForEdge, snapping } from "./snapping.ts";

/** Rough loop, edge looked for, edge proposed: what to do in each. */
export function SnapHint() {
  const count = useStore(drawing, (value) => value.points.length);
  const { state, why } = useStore(snapping, (value) => value);
  const words = {
    idle:
      count < 3
        ? "Draw a loose loop round the part, a little outside of it: its edge is looked for within."
        : "Close the loop, or press Enter twice.",
    looking: "Looking for the edge\u2026",
    found: "This is the edge that was found. Take it, or draw another loop; corners can be pulled later.",
    failed: why,
  }[state];
  return (
    <div className="tool-hint">
      <div className="tool-hint-words" role="status">
        {words}
        <Refusal field={ON_TABLE} />
      </div>
      {state === "idle" && count >= 3 && (
        <Button className="button small strong" onPress={() => void lookForEdge()}>
          Find the edge
        </Button>
      )}
      {state === "found" && (
        <>
          <Button className="button small strong" onPress={takeSnap}>
            Take it <kbd>↵</kbd>
          </Button>
          <Button
            className="button small"
            onPress={() => {
              dropSnap();
              drawing.set({ points: [] });
            }}
          >
            Another loop
          </Button>
        </>
      )}
      <Button className="button small" onPress={giveUp}>
        {count > 0 ? "Give up" : "Put away"} <kbd>Esc</kbd>
      </Button>
    </div>
  );
}
