import { useState } from "react";
import { Button } from "react-aria-components";
import { changePart, scaleOfLine, setDown, setScale } from "../../model/edit/index.ts";
import { fixed } from "../../reports/words.ts";
import { typedNumber } from "../../workshop/quantities.ts";
import { session } from "../state/session.ts";
import { edit } from "../state/sheet-editing.ts";
import { useStore } from "../state/store.ts";
import { chosenPart } from "./chosen.ts";
import { closeRing, giveUp, ON_TABLE } from "./closing.ts";
import { drawing, takePointBack, takeTool, type ToolId } from "./drawing.ts";
import { Refusal } from "./EditField.tsx";
import { SnapHint } from "./SnapHint.tsx";

const hints: Readonly<Record<Exclude<ToolId, "draw" | "snap">, string>> = {
  corners:
    "Drag a corner, press on an edge to add one, double click takes one away. Keys: N and P go round, arrows move, Enter adds, Delete.",
  joint:
    "Click where the part turns. A joint that is there can be dragged. Keys: arrows move the cross, Enter sets it.",
  length: "Draw along something whose length you know, in the depth of the puppet. Keys: Enter at each end.",
  plumb: "Draw along the plumb line, from where it hangs down to its bob. Keys: Enter at each end.",
};

/** What the tool in hand waits for, under the picture, with buttons for what keys do. Always there: nothing jumps. */
export function ToolHint() {
  const tool = useStore(drawing, (value) => value.tool);
  const count = useStore(drawing, (value) => value.points.length);
  if (tool === null) return <ToolHintIdle />;
  if (tool === "snap") return <SnapHint />;
  const ring = tool === "draw";
  return (
    <div className="tool-hint">
      <div className="tool-hint-words" role="status">
        {ring ? ringWords(count) : count === 2 ? "" : hints[tool]}
        <Refusal field={ON_TABLE} />
      </div>
      {tool === "length" && count === 2 && <LengthQuestion />}
      {tool === "plumb" && count === 2 && <PlumbAnswer />}
      {ring && count >= 3 && (
        <Button className="button small strong" onPress={closeRing}>
          Close
        </Button>
      )}
      {ring && count > 0 && (
        <Button className="button small" onPress={takePointBack}>
          One back <kbd>⌫</kbd>
        </Button>
      )}
      <Button className="button small" onPress={giveUp}>
        {count > 0 ? "Give up" : "Put away"} <kbd>Esc</kbd>
      </Button>
    </div>
  );
}

function ToolHintIdle() {
  const hasPart = useStore(session, (value) => (value.sheet?.parts.length ?? 0) > 0);
  return (
    <div className="tool-hint">
      <div className="tool-hint-words">
        {hasPart ? "Click a part to choose it, or take a tool." : "Take a tool to draw the first part."}
      </div>
    </div>
  );
}

function ringWords(count: number): string {
  if (count === 0)
    return "Click corner by corner, or draw round with the button held. Keys: arrows move the cross, Enter sets a corner.";
  if (count < 3) return `${count === 1 ? "One corner" : "Two corners"} set: ${3 - count} more at least.`;
  return "Close on the first corner, with a double click, or with Enter twice.";
}

/** How long the line is that was drawn: gives the scale. */
function LengthQuestion() {
  const points = useStore(drawing, (value) => value.points);
  const [text, setText] = useState("");
  const scale = scaleOfLine(points[0], points[1], typedNumber(text));
  const part = chosenPart();
  const put = (of: "shot" | "part") => {
    if (scale === null) return;
    const pxPerMm = Math.round(scale.pxPerMm * 1e4) / 1e4;
    const isDone = edit(
      of === "part" && part ? `set the scale of ${part.name}` : "set the scale of the shot",
      (sheet, context) =>
        of === "part" && part ? changePart(sheet, part.id, { pxPerMm }, context) : setScale(sheet, pxPerMm, context),
      ON_TABLE,
    );
    if (isDone) takeTool(null);
  };
  const length = Math.hypot(points[1][0] - points[0][0], points[1][1] - points[0][1]);
  return (
    <>
      <label className="tool-field">
        <span>{fixed(length, 1)} px are</span>
        <input
          // The question stands there for the answer alone.
          // oxlint-disable-next-line jsx-a11y/no-autofocus
          autoFocus
          value={text}
          inputMode="decimal"
          autoComplete="off"
          onChange={(event) => setText(event.target.value)}
          onKeyDown={(event) => {
            if (event.key === "Enter") put("shot");
            else if (event.key === "Escape") giveUp();
          }}
        />
        <span>mm</span>
      </label>
      <span className="tool-answer">
        {scale === null ? "" : `${fixed(scale.pxPerMm, 3)} ± ${fixed(scale.sigma, 3)} px/mm`}
      </span>
      <Button className="button small strong" isDisabled={scale === null} onPress={() => put("shot")}>
        For the shot
      </Button>
      {part && (
        <Button className="button small" isDisabled={scale === null} onPress={() => put("part")}>
          For this part
        </Button>
      )}
    </>
  );
}

function PlumbAnswer() {
  const points = useStore(drawing, (value) => value.points);
  const [from, to] = points;
  const off = (Math.atan2(to[0] - from[0], to[1] - from[1]) * 180) / Math.PI;
  const size = Math.abs(off);
  const words = size < 0.05 ? "straight down" : `${fixed(size, 1)}° ${off > 0 ? "right" : "left"} of straight down`;
  return (
    <>
      <span className="tool-answer">Things fall {words} in this picture</span>
      <Button
        className="button small strong"
        onPress={() => {
          if (edit("set which way is down", (sheet, context) => setDown(sheet, from, to, context), ON_TABLE))
            takeTool(null);
        }}
      >
        Take it
      </Button>
    </>
  );
}
