import type { ReactNode } from "react";
import { ToggleButton, Toolbar, Tooltip, TooltipTrigger } from "react-aria-components";
import type { Action } from "../action.ts";
import { tipOf } from "../actions.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { sheetActions } from "./sheet-actions.ts";
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
  {
    tool: null,
    words: "Choose",
    icon: <path d="M5 3l8.5 6.5-4 .6 2.2 4.2-1.9 1-2.2-4.200L5 14z" />,
  },
  {
    tool: "draw",
    target: "part",
    words: "New part",
    action: sheetActions.draw,
    icon: <path d="M3 7l5-4 6 3-1 7-7 1zM3 7v.01M8 3v.01M14 6v.01M13 13v.01M6 14v.01" />,
  },
  {
    tool: "snap",
    words: "Find edge",
    action: sheetActions.snap,
    icon: <path d="M2 8.500a6.5 6.5 0 1 1 6.5 6.500M5.5 8l3-2.5 3.5 1.5-.5 4-4 .5z" />,
  },
  {
    tool: "draw",
    target: "outline",
    words: "Redraw",
    action: sheetActions.redraw,
    needsPart: true,
    icon: <path d="M3 13c0-6 4-9 9-9M12 4l-3-2M12 4 9.5 7M13.5 8.500c.3 3-2.5 5.5-6.5 5.5" />,
  },
  {
    tool: "corners",
    words: "Corners",
    action: sheetActions.corners,
    needsPart: true,
    icon: <path d="M4 4h4v4H4zM8 6h7M6 8v7M11 11l4 4M15 11.500V15h-3.5" />,
  },
  {
    tool: "draw",
    target: "hole",
    words: "Hole",
    action: sheetActions.hole,
    needsPart: true,
    icon: <path d="M2.5 3.500h12v10h-12zM6 7l4-1 1 3-3 2z" />,
  },
  {
    tool: "joint",
    words: "Joint",
    action: sheetActions.joint,
    needsPart: true,
    icon: <path d="M8.5 5.500a3 3 0 1 1 0 6 3 3 0 0 1 0-6zM8.5 5.500V2M10.5 10.800l3 3.5" />,
  },
  {
    tool: "length",
    words: "Length",
    action: sheetActions.length,
    icon: <path d="M2.5 12.500l10-10 2 2-10 10zM5.5 9.500l1.2 1.200M8 7l1.2 1.200M10.5 4.500l1.2 1.2" />,
  },
  {
    tool: "plumb",
    words: "Plumb line",
    action: sheetActions.plumb,
    icon: <path d="M4 2.500h9M8.5 2.500v7M8.5 9.500l2 3-2 3-2-3z" />,
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
          <TooltipTrigger key={entry.words} delay={500} closeDelay={100}>
            <ToggleButton
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
            <Tooltip className="tip" placement="right" offset={6}>
              {entry.action ? tipOf(entry.action) : entry.words}
            </Tooltip>
          </TooltipTrigger>
        );
      })}
    </Toolbar>
  );
}
