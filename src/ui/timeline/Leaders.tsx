import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strips } from "../strips/strips.ts";
import { figureParts, fitFigure, leaderStart } from "./Figure.tsx";
import type { RowPlan } from "./row-plan.ts";
import { AXIS_HEIGHT } from "./scale.ts";

interface LeaderProps {
  readonly plan: RowPlan;
  readonly strips: Strips;
  readonly figureWidth: number;
  readonly height: number;
  readonly scrolled: number;
  /** Rows above this are in sight, px from the top of the pane. */
  readonly bottom: number;
}

/** How far the lines reach into the column of names, px. */
const REACH = 6;

/** Lines that tie each part of the figure to its strip. */
export function Leaders({ plan, strips, figureWidth, height, scrolled, bottom }: LeaderProps) {
  const over = useStore(view, (value) => value.over);
  const chosen = useStore(view, (value) => value.strip);
  const frame = useStore(view, (value) => value.frame);
  const report = useStore(session, (value) => value.report);
  if (!report) return null;
  const parts = figureParts(report.parts, strips);
  const fit = fitFigure(parts, figureWidth, height);
  return (
    <svg className="leaders" width={figureWidth + REACH} height={height} aria-hidden="true">
      {plan.rows.map((row) => {
        if (row.kind === "head") return null;
        const { strip } = row;
        const part = parts.find((each) => each.id === strip.id);
        const y = AXIS_HEIGHT + row.top + row.height / 2 - scrolled;
        if (!part || y < AXIS_HEIGHT || y > bottom) return null;
        const [x0, y0] = leaderStart(part, fit);
        const drifts = strips.flags.some((flag) => flag.part === strip.id && flag.from <= frame && frame <= flag.to);
        const lit = strip.id === over || strip.id === chosen;
        const end = figureWidth + REACH;
        const bend = Math.max(26, (end - x0) * 0.5);
        return (
          <g key={strip.id} className={`leader${drifts ? " drifts" : ""}${lit ? " lit" : ""}`}>
            <path d={`M${x0} ${y0} C${x0 + bend} ${y0} ${end - bend} ${y} ${end} ${y}`} />
            <circle cx={x0} cy={y0} r={lit || drifts ? 3 : 2} />
          </g>
        );
      })}
    </svg>
  );
}
