import { Button, Dialog, DialogTrigger, Heading, Popover } from "react-aria-components";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { canPickFolder } from "./held-files.ts";
import { cancelHeld, framesToHold, heldSaving, saveHeldFolder, saveHeldZip } from "./held-saving.ts";
import { redrawState } from "./supply.ts";

const timeLeft = (seconds: number): string =>
  seconds < 90 ? `about ${Math.max(1, Math.round(seconds))} s left` : `about ${Math.round(seconds / 60)} min left`;

/** Saving what is held still as layers, and where it can't be trusted; a button that tells how far it is. */
export function SaveHeld() {
  const { phase, done, total } = useStore(heldSaving, (value) => value);
  const doubts = useStore(redrawState, (value) => value.doubts);
  return (
    <DialogTrigger>
      <Button className="word-button">
        {phase === "running" ? `Saving ${done} of ${total}` : "Save layers"}
        {doubts.length > 0 && (
          <span className="held-doubt-count">
            {doubts.length} {doubts.length === 1 ? "doubt" : "doubts"}
          </span>
        )}
        <svg width="10" height="10" viewBox="0 0 10 10" aria-hidden="true">
          <path d="M2 6.5 5 3.5 8 6.5" />
        </svg>
      </Button>
      <Popover className="held-popover" placement="top end" offset={6}>
        <Dialog className="held-dialog">
          <Saving />
        </Dialog>
      </Popover>
    </DialogTrigger>
  );
}

function Saving() {
  // What is saved goes by the range and the finding.
  useStore(view, (value) => `${value.range?.from}-${value.range?.to}/${value.flag}`);
  const { phase, done, total, secondsLeft, message } = useStore(heldSaving, (value) => value);
  const { doubts, frame } = useStore(redrawState, (value) => value);
  const frames = framesToHold();
  const count = `${frames.length} ${frames.length === 1 ? "layer" : "layers"}`;
  return (
    <>
      <Heading slot="title">Layers to lay over the frames</Heading>
      {doubts.length > 0 ? (
        <div className="held-doubts">
          <p>Frame {frame} can't be trusted in this:</p>
          <ul>
            {doubts.map((doubt) => (
              <li key={doubt}>{doubt}</li>
            ))}
          </ul>
        </div>
      ) : (
        <p>Nothing that was measured speaks against frame {frame}.</p>
      )}
      <p>
        {frames.length === 0
          ? "There is nothing to hold still."
          : `Frames ${frames[0]} to ${frames[frames.length - 1]}, as PNG with alpha, of the frames' own size. The frames themselves are never written to. Choose a range on the timeline for others.`}
      </p>
      {phase === "running" ? (
        <div className="held-progress">
          <progress aria-label={`Saving layers: ${done} of ${total}`} value={done} max={Math.max(1, total)} />
          <span>
            {done} of {total}
            {secondsLeft === null ? "" : `, ${timeLeft(secondsLeft)}`}
          </span>
          <Button className="button small" onPress={cancelHeld}>
            Cancel
          </Button>
        </div>
      ) : (
        <div className="button-row">
          <Button className="button" isDisabled={frames.length === 0} onPress={() => void saveHeldZip()}>
            Save {count} as a zip
          </Button>
          {canPickFolder() && (
            <Button className="button" isDisabled={frames.length === 0} onPress={() => void saveHeldFolder()}>
              Into a folder
            </Button>
          )}
        </div>
      )}
      {message !== "" && phase !== "running" && <p role={phase === "failed" ? "alert" : "status"}>{message}</p>}
    </>
  );
}
