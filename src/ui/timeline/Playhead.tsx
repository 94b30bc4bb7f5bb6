import { useScale } from "../state/lane.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { SCALE_ROOM } from "./scale.ts";

/** The column of the frame that is up. */
export function Playhead({ frames, height }: { readonly frames: readonly number[]; readonly height: number }) {
  const frame = useStore(view, (value) => value.frame);
  const scale = useScale();
  const x = scale.x(frame);
  if (!frames.includes(frame) || x < SCALE_ROOM || x > scale.width) return null;
  const width = Math.max(3, scale.cell);
  return (
    <div
      className="playhead"
      style={{ height, width, transform: `translateX(${x - width / 2}px)` }}
      aria-hidden="true"
    />
  );
}
