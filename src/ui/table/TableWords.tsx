import { useMemo } from "react";
import { ToggleButton } from "react-aria-components";
import { actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { otherNow } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { cameraFor, enlargementFor, partArrowsAt } from "./arrows.ts";
import { flowState } from "./flow.ts";
import { RedrawWords } from "./RedrawWords.tsx";
import { ViewExtras } from "./ViewExtras.tsx";

/** What the picture on the table is, in words, under it. */
export function TableWords() {
  const { look, outlines, closeUp } = useStore(view, (value) => value);
  const files = useStore(session, (value) => value.files);
  const blank = useStore(session, (value) => value.blank);
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
      {files && report && !blank && (
        <ToggleButton className="word-button" isSelected={closeUp} onChange={actions.closeUp.perform}>
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
            <path d={closeUp ? "M2 7l3.5 3.5L12 3.5" : "M2 7h10"} />
          </svg>
          Close-up <Key action={actions.closeUp} />
        </ToggleButton>
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
  const { picture, frame, flipped, peek, steady } = useStore(view, (value) => value);
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
  const anchor = otherNow();
  const camera = report !== null && cameraFor(anchor, frame) !== null;
  if (!files) return report ? "Opened without its frames: outlines only" : "";
  const other = <Other frame={anchor} />;
  if (peek) return <>Held down: {other}</>;
  switch (picture) {
    case "plain":
      return files.get(frame)?.file ?? "This frame could not be read";
    case "flip":
      return flipped ? (
        <>
          {other}; in turn with frame {frame}
        </>
      ) : (
        <>
          <strong>Current</strong>, frame {frame}; in turn with {other}
        </>
      );
    case "over":
      return (
        <>
          <i className="swatch swatch-then" aria-hidden="true" /> {other} in red,{" "}
          <i className="swatch swatch-now" aria-hidden="true" /> frame {frame} in cyan; {cameraWords(steady, camera)}
        </>
      );
    case "difference":
      return (
        <>
          Frame {frame} minus {other}, light taken out, {cameraWords(steady, camera)}
        </>
      );
    case "arrows":
      return (
        <>
          {other} to {frame}, {enlarge} times, {camera ? "camera taken out" : "camera not known, left in"}; thin: dense
          flow{working ? " (on its way)" : ", long ones cut"}
        </>
      );
    case "exaggerate":
    case "held":
      return <RedrawWords />;
  }
}

const cameraWords = (steady: boolean, known: boolean) =>
  !known ? "camera not known, left in" : steady ? "camera taken out" : "camera left in";

/** The frame that is compared with: the anchor, or the one that a person picked. */
function Other({ frame }: { readonly frame: number | null }) {
  const picked = useStore(view, (value) => value.against);
  return (
    <>
      <strong>{picked === null ? "Anchor" : "Picked"}</strong>, frame {frame}
    </>
  );
}
