import { memo } from "react";
import { counted } from "../../reports/words.ts";
import { fold } from "../state/folded.ts";
import { choose } from "../state/looking.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { RowPlan } from "./row-plan.ts";

/** Names of the strips, each of which chooses its part, and the headings of their groups, which fold them. */
export const StripNames = memo(function StripNames({
  plan,
  from,
  to,
}: {
  readonly plan: RowPlan;
  readonly from: number;
  readonly to: number;
}) {
  const over = useStore(view, (value) => value.over);
  const chosen = useStore(view, (value) => value.strip);
  return (
    <div className="strip-names">
      {plan.rows.slice(from, to).map((row) => {
        const style = { top: row.top, height: row.height };
        if (row.kind === "head") {
          const { id, name, strips } = row.group;
          return (
            <button
              key={id}
              type="button"
              className="strip-head"
              style={style}
              aria-expanded={!row.folded}
              onClick={() => fold(id, !row.folded)}
            >
              <svg width="10" height="10" viewBox="0 0 10 10" aria-hidden="true">
                <path d={row.folded ? "M3.5 2 6.5 5 3.5 8" : "M2 3.5 5 6.5 8 3.5"} />
              </svg>
              <span>{name}</span>
              {row.folded && <small>{counted(strips.length, "part")}</small>}
            </button>
          );
        }
        const { strip } = row;
        return (
          <button
            key={strip.id}
            type="button"
            className={`strip-name${strip.flags.length > 0 ? " drifted" : ""}${strip.id === over || strip.id === chosen ? " lit" : ""}`}
            style={style}
            aria-pressed={strip.id === chosen}
            title={strip.name}
            onClick={() => choose(strip.id)}
            onPointerEnter={() => view.set({ over: strip.id })}
            onPointerLeave={() => view.set({ over: null })}
          >
            <span>{strip.name}</span>
            {strip.old && (
              <small className="old-word">
                {strip.value.some((value) => !Number.isNaN(value)) ? "old" : "to come"}
              </small>
            )}
          </button>
        );
      })}
    </div>
  );
});
