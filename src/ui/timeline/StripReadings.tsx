import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strip, Strips } from "../strips/strips.ts";
import { shortReading } from "./readout.ts";

/** What every strip says at the playhead. */
export function StripReadings({
  rows,
  strips,
  rowHeight,
}: {
  readonly rows: readonly Strip[];
  readonly strips: Strips;
  readonly rowHeight: number;
}) {
  const frame = useStore(view, (value) => value.frame);
  const index = strips.indexOf.get(frame) ?? -1;
  return (
    <div className="strip-readings">
      {rows.map((strip) => {
        const { words, kind } = shortReading(strip, index);
        // Within its band by itself, a part that is flagged for what it carries is still the one that drifts.
        const far = strip.far.some((each) => each.flag.from <= frame && frame <= each.flag.to);
        const beyond = kind === "number" && (far || Math.abs(strip.value[index]) > strip.band);
        return (
          <div
            key={strip.id}
            className={`strip-reading ${kind}${beyond ? " beyond" : ""}`}
            style={{ height: rowHeight }}
          >
            {words}
          </div>
        );
      })}
    </div>
  );
}
