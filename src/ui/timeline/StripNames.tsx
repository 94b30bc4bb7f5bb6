import { choose } from "../state/looking.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strip } from "../strips/strips.ts";

/** Names of the strips; each chooses its part. */
export function StripNames({ rows, rowHeight }: { readonly rows: readonly Strip[]; readonly rowHeight: number }) {
  const over = useStore(view, (value) => value.over);
  const chosen = useStore(view, (value) => value.strip);
  return (
    <div className="strip-names">
      {rows.map((strip) => (
        <button
          key={strip.id}
          type="button"
          className={`strip-name${strip.flags.length > 0 ? " drifts" : ""}${strip.id === over || strip.id === chosen ? " lit" : ""}`}
          style={{ height: rowHeight }}
          aria-pressed={strip.id === chosen}
          title={strip.name}
          onClick={() => choose(strip.id)}
          onPointerEnter={() => view.set({ over: strip.id })}
          onPointerLeave={() => view.set({ over: null })}
        >
          <span>{strip.name}</span>
        </button>
      ))}
    </div>
  );
}
