import { useState } from "react";
import { moveCameraEdge, moveIntentEdge } from "../../../model/edit/index.ts";
import { scaleNow, useScale } from "../../state/lane.ts";
import { framesNow } from "../../state/looking.ts";
import { screen } from "../../state/screen.ts";
import { session } from "../../state/session.ts";
import { edit } from "../../state/sheet-editing.ts";
import { useStore } from "../../state/store.ts";
import { view } from "../../state/view.ts";
import type { RowPlan } from "../../timeline/row-plan.ts";
import { SCALE_ROOM } from "../../timeline/scale.ts";
import { isOnParts } from "../open.ts";
import { rowNow, spansOf } from "./meant.ts";
import { ON_STRIPS } from "./say.ts";

/** On the Parts screen: the ends of what is said of the chosen row, to be dragged, or moved by the arrow keys. */
export function IntentEdges({ plan }: { readonly plan: RowPlan }) {
  const isUp = useStore(screen, isOnParts);
  const chosen = useStore(view, (value) => value.strip);
  useStore(session, (value) => value.sheet);
  const row = isUp ? rowNow() : null;
  const place = plan.rows.find((each) => each.kind === "strip" && each.strip.id === chosen);
  if (row === null || place === undefined) return null;
  return (
    <>
      {spansOf(row).flatMap((span, index) =>
        (["from", "to"] as const).map((edge) => (
          <Edge
            key={`${index} ${edge}`}
            index={index}
            edge={edge}
            frame={span[edge]}
            intent={span.intent}
            top={place.top}
            height={place.height}
          />
        )),
      )}
    </>
  );
}

function Edge({
  index,
  edge,
  frame,
  intent,
  top,
  height,
}: {
  readonly index: number;
  readonly edge: "from" | "to";
  readonly frame: number;
  readonly intent: string;
  readonly top: number;
  readonly height: number;
}) {
  const scale = useScale();
  const [dragged, setDragged] = useState<number | null>(null);
  const shown = dragged ?? frame;
  const x = scale.x(shown) + (edge === "from" ? -0.5 : 0.5) * scale.cell;
  if (x < SCALE_ROOM - 1 || x > scale.width + 1) return null;
  const frames = framesNow();
  const move = (to: number, merge = "") => {
    const row = rowNow();
    if (row === null || to === frame) return;
    const name = row.kind === "camera" ? "the camera" : row.part.name;
    edit(
      `moved the ${edge === "from" ? "beginning" : "end"} of "${intent}" of ${name}`,
      (sheet, context) =>
        row.kind === "camera"
          ? moveCameraEdge(sheet, index, edge, to, context)
          : moveIntentEdge(sheet, row.part.id, index, edge, to, context),
      ON_STRIPS,
      merge,
    );
  };
  const frameUnder = (event: React.PointerEvent) => {
    const box = event.currentTarget.parentElement?.getBoundingClientRect();
    return scaleNow().at(event.clientX - (box?.left ?? 0) + (edge === "from" ? 0.5 : -0.5) * scaleNow().cell);
  };
  return (
    <div
      className={`intent-edge ${edge}${dragged === null ? "" : " held"}`}
      style={{ left: x, top, height }}
      role="slider"
      tabIndex={0}
      aria-label={`${edge === "from" ? "First" : "Last"} frame of "${intent}"`}
      aria-valuemin={frames[0]}
      aria-valuemax={frames.at(-1)}
      aria-valuenow={shown}
      onKeyDown={(event) => {
        const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key];
        const next = by === undefined ? undefined : frames[frames.indexOf(frame) + by];
        if (by === undefined) return;
        event.preventDefault();
        event.stopPropagation();
        if (next !== undefined) move(next, `edge ${index} ${edge}`);
      }}
      onPointerDown={(event) => {
        event.stopPropagation();
        event.currentTarget.setPointerCapture(event.pointerId);
        setDragged(frame);
      }}
      onPointerMove={(event) => {
        if (dragged === null) return;
        event.stopPropagation();
        setDragged(frameUnder(event));
      }}
      onPointerUp={(event) => {
        event.stopPropagation();
        if (dragged !== null) move(dragged);
        setDragged(null);
      }}
      onPointerCancel={() => setDragged(null)}
    >
      {dragged !== null && <span className="intent-edge-frame">{dragged}</span>}
    </div>
  );
}
