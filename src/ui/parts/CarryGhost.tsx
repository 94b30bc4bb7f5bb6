import { useStore } from "../state/store.ts";
import { carryDrag } from "./carry-drag.ts";

/** Beside the pointer that drags a part: what letting go here would do. */
export function CarryGhost() {
  const { part, x, y, words, can } = useStore(carryDrag, (value) => value);
  if (part === null) return null;
  return (
    <p
      className={`carry-ghost${can ? " can" : ""}${x < 340 ? " rightwards" : ""}`}
      style={{ translate: `${x}px ${y}px` }}
      role="status"
    >
      <span>{words}</span>
    </p>
  );
}
