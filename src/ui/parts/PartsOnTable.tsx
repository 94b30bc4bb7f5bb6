import { useEffect } from "react";
import { tableTool } from "../table/tool.ts";
import { drawing, takeTool } from "./drawing.ts";
import { useStore } from "../state/store.ts";
import { dropSnap } from "./snapping.ts";
import { ToolBar } from "./ToolBar.tsx";
import { ToolHint } from "./ToolHint.tsx";
import { toolInHand } from "./tools/tool-in-hand.ts";
import { listenToToolKeys } from "./tools/tool-keys.ts";

/** What the Parts screen adds to the table: the tools at its edge, and the one in hand. */
export function PartsOnTable() {
  useEffect(() => {
    const end = listenToToolKeys();
    return () => {
      end();
      takeTool(null);
      dropSnap();
      tableTool.set({ now: null });
    };
  }, []);
  const tool = useStore(drawing, (value) => value.tool);
  // Anew for each tool: the table asks for the cursor where the tool changes.
  useEffect(
    () =>
      tableTool.set({
        now: {
          ...toolInHand,
          cursor: toolInHand.cursor ?? "",
          hidesOutlines: tool === "corners",
          hidesNames: tool !== null,
        },
      }),
    [tool],
  );
  return (
    <>
      <ToolBar />
      <ToolHint />
    </>
  );
}
