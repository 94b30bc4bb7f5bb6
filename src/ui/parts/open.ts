import { goToScreen, screen } from "../state/screen.ts";
import { view } from "../state/view.ts";
import { drawing, type Target, takeTool, type ToolId } from "./drawing.ts";

const PARTS = "parts";

export const isOnParts = ({ now }: { readonly now: string }): boolean => now === PARTS;

export function toggleParts(): void {
  view.set({ playing: false });
  goToScreen(isOnParts(screen.get()) ? "shot" : PARTS);
}

/** Takes a tool in hand, on the Parts screen; the same one again puts it away. */
export const pickUp =
  (tool: ToolId, target: Target = "part") =>
  (): void => {
    const now = drawing.get();
    view.set({ playing: false, picture: "plain" });
    if (!isOnParts(screen.get())) goToScreen(PARTS);
    if (now.tool === tool && now.target === target) takeTool(null);
    else takeTool(tool, target);
  };
