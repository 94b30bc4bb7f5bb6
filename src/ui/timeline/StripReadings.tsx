import { memo } from "react";
import { reading } from "../state/reading.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strips } from "../strips/strips.ts";
import { isToldElsewhere, longReading, shortReading } from "./readout.ts";
import type { RowPlan } from "./row-plan.ts";

/** What every strip says at the playhead. */
export const StripReadings = memo(function StripReadings({
  plan,
  from,
  to,
  strips,
}: {
  readonly plan: RowPlan;
  readonly from: number;
  readonly to: number;
  readonly strips: Strips;
}) {
  const frame = useStore(view, (value) => value.frame);
  const unit = useStore(reading, (value) => value.unit);
  const index = strips.indexOf.get(frame) ?? -1;
  return (
    <div className="strip-readings">
      {plan.rows.slice(from, to).map((row) => {
        if (row.kind === "head") return null;
        const { strip } = row;
        const { words, kind } = shortReading(strip, index, unit);
        // Within its band by itself, a part that is flagged for what it carries is still the one that drifts.
        const far = strip.far.some((each) => each.flag.from <= frame && frame <= each.flag.to);
        const beyond = kind === "number" && (far || Math.abs(strip.value[index]) > strip.band);
        return (
          <div
            key={strip.id}
            className={`strip-reading ${kind}${beyond ? " beyond" : ""}`}
            style={{ top: row.top, height: row.height }}
            title={
              isToldElsewhere(strip) && kind === "number"
                ? longReading(strip, index, frame, unit).lines.slice(0, 2).join("; ")
                : undefined
            }
          >
            {words}
          </div>
        );
      })}
    </div>
  );
});
