import { Button } from "react-aria-components";
import { framesAway, pointAtFolder, showFrames } from "../state/open-kept.ts";
import { useStore } from "../state/store.ts";

/** Over the empty table: where the frames of a shot from the store are, and the one click that shows them. */
export function FramesAway() {
  const { why, folder } = useStore(framesAway, (value) => value);
  if (why === null) return null;
  return (
    <div className="frames-away">
      <p>
        {why === "ask" && (
          <>
            The frames lie in <strong>{folder}</strong>. The browser asks before it reads them again.
          </>
        )}
        {why === "gone" && (
          <>
            The folder <strong>{folder}</strong> isn't where it was.
          </>
        )}
        {why === "point" && (
          <>
            The report is here; the frames are in <strong>{folder || "their folder"}</strong>, and this browser can't
            keep the way to it.
          </>
        )}
      </p>
      <div className="button-row">
        {why === "ask" && (
          <Button className="button strong" onPress={() => void showFrames()}>
            Show the frames
          </Button>
        )}
        <Button className={why === "ask" ? "button" : "button strong"} onPress={() => void pointAtFolder()}>
          {why === "ask" ? "It was moved" : "Show the folder"}
        </Button>
      </div>
    </div>
  );
}
