import { Button } from "react-aria-components";
import { framesAway, pointAtFolder, showFrames } from "../state/open-kept.ts";
import { useStore } from "../state/store.ts";

/** Over the empty table: where the frames of a shot from the store are, and the one click that shows them. */
export function FramesAway() {
  const { why, folder } = useStore(framesAway, (value) => value);
  if (why === null) return null;
  const isKnown = why === "ask" || why === "denied";
  return (
    <div className="frames-away">
      <p>
        {why === "ask" && (
          <>
            The frames lie in <strong>{folder}</strong>. The browser asks before it reads them again.
          </>
        )}
        {why === "denied" && (
          <>
            The browser was told not to read <strong>{folder}</strong>. The report is here all the same.
          </>
        )}
        {why === "gone" && (
          <>
            The folder <strong>{folder}</strong> isn't where it was.
          </>
        )}
        {why === "point" && (
          <>
            The report is here. The frames are in <strong>{folder || "their folder"}</strong>: show it once more.
          </>
        )}
      </p>
      <div className="button-row">
        {isKnown && (
          <Button className="button strong" onPress={() => void showFrames()}>
            Show the frames
          </Button>
        )}
        <Button className={isKnown ? "button" : "button strong"} onPress={() => void pointAtFolder()}>
          {isKnown ? "It was moved" : "Show the folder"}
        </Button>
      </div>
    </div>
  );
}
