import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { FrameScale } from "./scale.ts";

/** The column of the frame that is up. */
export function Playhead({
  frames,
  scale,
  height,
}: {
  readonly frames: readonly number[];
  readonly scale: FrameScale;
  readonly height: number;
}) {
  const frame = useStore(view, (value) => value.frame);
  if (!frames.includes(frame)) return null;
  const width = Math.max(3, scale.cell);
  return (
    <div
      className="playhead"
      style={{ height, width, transform: `translateX(${scale.x(frame) - width / 2}px)` }}
      aria-hidden="true"
    />
  );
}
