import { useEffect, useRef } from "react";
import { carrierChain, type Sheet } from "../../model/index.ts";
import { choose } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { inBodyOrder } from "../strips/body-order.ts";
import { titled } from "../../reports/words.ts";
import { carryDrag, startCarry } from "./carry-drag.ts";
import { kindWords } from "./words.ts";

/** The sheet's parts in the order of the body, by puppet; what rides on another stands in from it. */
export function PartList({ sheet }: { readonly sheet: Sheet }) {
  const chosen = useStore(view, (value) => value.strip);
  const over = useStore(view, (value) => value.over);
  const carried = useStore(carryDrag, (value) => value.part);
  const old = useStore(session, (value) => value.old);
  const tracks = useStore(session, (value) => value.report?.tracks);
  const measured = new Set(tracks?.map((row) => row.part));
  const ordered = inBodyOrder(sheet.parts.map((part) => ({ ...part, outline: part.outlines[0].points })));
  const groups = [...new Set(ordered.map(({ puppet }) => puppet))];
  const list = useRef<HTMLDivElement>(null);
  useEffect(() => {
    list.current?.querySelector(".chosen")?.scrollIntoView({ block: "nearest" });
  }, [chosen, sheet.parts.length]);
  return (
    <div className={carried === null ? "part-list" : "part-list carrying"} ref={list}>
      {carried !== null && (
        <p className="carry-nothing" data-part="">
          On nothing
        </p>
      )}
      {groups.map((puppet) => (
        <section key={puppet ?? ""}>
          {(groups.length > 1 || puppet !== null) && <h2>{puppet === null ? "Of no puppet" : titled(puppet)}</h2>}
          <ul>
            {ordered
              .filter((part) => part.puppet === puppet)
              .map((part) => (
                <li key={part.id}>
                  <button
                    type="button"
                    data-part={part.id}
                    className={`part-row${part.id === chosen ? " chosen" : ""}${part.id === over ? " lit" : ""}${part.id === carried ? " carried" : ""}`}
                    style={{ paddingLeft: 10 + 14 * Math.min(4, carrierChain(sheet, part.id).length - 1) }}
                    aria-pressed={part.id === chosen}
                    onPointerDown={(event) => startCarry(event, part.id)}
                    onClick={() => {
                      if (part.id !== chosen) choose(part.id);
                    }}
                    onPointerEnter={() => view.set({ over: part.id })}
                    onPointerLeave={() => view.set({ over: null })}
                  >
                    <span className="part-grip" data-grip aria-hidden="true" />
                    <span className="part-row-name">{part.name}</span>
                    {old?.has(part.id) && <span className="old-word">{measured.has(part.id) ? "old" : "to come"}</span>}
                    <span className="part-row-kind">{kindWords[part.kind].split(",")[0]}</span>
                  </button>
                </li>
              ))}
          </ul>
        </section>
      ))}
    </div>
  );
}
