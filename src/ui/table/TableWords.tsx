import { useMemo } from "react";
import { ToggleButton } from "react-aria-components";
import { actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { anchorNow } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { cameraBetween, enlargementFor, partArrowsAt } from "./arrows.ts";
import { flowState } from "./flow.ts";
import { ViewExtras } from "./ViewExtras.tsx";

/** What the picture on the table is, in words, under it. */
export function TableWords() {
  const { look, outlines } = useStore(view, (value) => value);
  const report = useStore(session, (value) => value.report);
  return (
    <div className="table-words">
      <p>
        <Words />
      </p>
      <ViewExtras />
      {look.scale !== 1 && (
        <ActionButton className="word-button" action={actions.whole}>
          {look.scale.toFixed(1)} times, show all
        </ActionButton>
      )}
      {report && report.parts.length > 0 && (
        <ToggleButton className="word-button" isSelected={outlines} onChange={actions.outlines.perform}>
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
            <path d={outlines ? "M2 7l3.5 3.5L12 3.5" : "M2 7h10"} />
          </svg>
          Outlines <Key action={actions.outlines} />
        </ToggleButton>
      )}
    </div>
  );
}

function Words() {
  const { picture, frame, flipped } = useStore(view, (value) => value);
  const report = useStore(session, (value) => value.report);
  const strips = useStore(session, (value) => value.strips);
  const files = useStore(session, (value) => value.files);
  const working = useStore(flowState, (value) => value.working);
  const enlarge = useMemo(
    () =>
      picture === "arrows" && report && strips
        ? enlargementFor(partArrowsAt(report, strips, frame), report.shot.width)
        : 1,
    [picture, report, strips, frame],
  );
  const anchor = anchorNow();
  const camera = picture === "arrows" && report !== null && cameraBetween(report, anchor, frame) !== null;
  if (!files) return report ? "Opened without its frames: outlines only" : "";
  switch (picture) {
    case "plain":
      return files.get(frame)?.file ?? "This frame could not be read";
    case "flip":
      return flipped ? (
        <>
          <strong>Anchor</strong>, frame {anchor}; in turn with frame {frame}
        </>
      ) : (
        <>
          <strong>Current</strong>, frame {frame}; in turn with the anchor, frame {anchor}
        </>
      );
    case "over":
      return (
        <>
          <i className="swatch swatch-then" aria-hidden="true" /> frame {anchor} in red,{" "}
          <i className="swatch swatch-now" aria-hidden="true" /> frame {frame} in cyan; grey where nothing changed
        </>
      );
    case "difference":
      return `Frame ${frame} minus frame ${anchor}, light taken out; grey where nothing changed`;
    case "arrows":
      return `Frame ${anchor} to ${frame}, ${enlarge} times, ${camera ? "camera taken out" : "camera not known, left in"}; thin: dense flow${working ? " (on its way)" : ", long ones cut"}`;
  }
}
