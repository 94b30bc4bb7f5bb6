import type { ReactNode } from "react";
import { ToggleButton, Toolbar } from "react-aria-components";
import { type Action, actions } from "../actions.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { drawing, type Target, takeTool, type ToolId } from "./drawing.ts";

interface Entry {
  readonly tool: ToolId | null;
  readonly target?: Target;
  readonly words: string;
  readonly icon: ReactNode;
  readonly action?: Action;
  readonly needsPart?: boolean;
}

const entries: readonly Entry[] = [
  { tool: null, words: "Choose", icon: <path d="M5 3l8.500 6.500-4 .6 2.200 4.200-1.900 1-2.200-4.200L5 14z" /> },
  {
    tool: "draw",
    target: "part",
    words: "New part",
    action: actions.draw,
    icon: <path d="M3 7l5-4 6 3-1 7-7 1zM3 7v.01M8 3v.01M14 6v.01M13 13v.01M6 14v.01" />,
  },
  {
    tool: "draw",
    target: "outline",
    words: "Redraw",
    action: actions.redraw,
    needsPart: true,
    icon: <path d="M3 13c0-6 4-9 9-9M12 4l-3-2M12 4 9.500 7M13.500 8.500c.3 3-2.500 5.500-6.500 5.500" />,
  },
  {
    tool: "draw",
    target: "hole",
    words: "Hole",
    action: actions.hole,
    needsPart: true,
    icon: <path d="M2.500 3.500h12v10h-12zM6 7l4-1 1 3-3 2z" />,
  },
];

/** The tools of the Parts screen, at the left edge of the table. */
export function ToolBar() {
  const { tool, target } = useStore(drawing, (value) => value);
  const chosen = useStore(view, (value) => value.strip);
  const sheet = useStore(session, (value) => value.sheet);
  const hasPart = sheet?.parts.some((part) => part.id === chosen) ?? false;
  return (
    <Toolbar className="tools" orientation="vertical" aria-label="Tools on the frame">
      {entries.map((entry) => {
        const isUp = entry.tool === tool && (tool !== "draw" || entry.target === target);
        return (
          <ToggleButton
            key={entry.words}
            className="tool"
            isSelected={isUp}
            isDisabled={entry.needsPart === true && !hasPart}
            aria-keyshortcuts={entry.action?.keys[0]}
            onChange={() => (entry.action ? entry.action.perform() : takeTool(entry.tool))}
          >
            <svg width="17" height="17" viewBox="0 0 17 17" aria-hidden="true">
              {entry.icon}
            </svg>
            {entry.words}
          </ToggleButton>
        );
      })}
    </Toolbar>
  );
}
