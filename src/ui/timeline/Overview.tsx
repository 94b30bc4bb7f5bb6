import { useRef } from "react";
import { flagKindLabels } from "../../model/index.ts";
import { lane, scrollLaneTo } from "../state/lane.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { stripOfFlag, type Strips } from "../strips/strips.ts";
import { SCALE_ROOM } from "./scale.ts";

/** The whole shot in small: where its findings lie, and what of it is in sight. Drag it, or move it with the arrow keys. */
export function Overview({ strips, id }: { readonly strips: Strips; readonly id: string }) {
  const { zoom, from, width, frames } = useStore(lane, (value) => value);
  const frame = useStore(view, (value) => value.frame);
  const held = useRef(0);
  const room = Math.max(1, width - SCALE_ROOM - 6);
  const [first, last] = [frames[0] ?? 1, frames.at(-1) ?? 1];
  const x = (of: number) => ((of - first + 0.5) / (last - first + 1)) * room;
  const thumb = Math.max(24, room / zoom);
  // A thumb that had to be made larger than its share must still reach both ends.
  const free = room - thumb;
  const left = zoom <= 1 ? 0 : (from / (1 - 1 / zoom)) * free;
  const to = (place: number) => free > 0 && scrollLaneTo((place / free) * (1 - 1 / zoom));
  return (
    <div
      className={zoom > 1 ? "overview" : "overview whole"}
      style={{ marginLeft: SCALE_ROOM, width: room }}
      role="scrollbar"
      tabIndex={zoom > 1 ? 0 : -1}
      aria-label="Frames in sight"
      aria-controls={id}
      aria-orientation="horizontal"
      aria-valuemin={0}
      aria-valuemax={100}
      aria-valuenow={Math.round(zoom <= 1 ? 0 : (100 * from) / (1 - 1 / zoom))}
      onKeyDown={(event) => {
        const page = 1 / zoom;
        const by = { ArrowLeft: -0.2, ArrowRight: 0.2, PageUp: -0.9, PageDown: 0.9 }[event.key];
        if (by === undefined && event.key !== "Home" && event.key !== "End") return;
        event.preventDefault();
        event.stopPropagation();
        scrollLaneTo(by === undefined ? (event.key === "Home" ? 0 : 1) : from + by * page);
      }}
      onPointerDown={(event) => {
        const at = event.clientX - event.currentTarget.getBoundingClientRect().left;
        held.current = at >= left && at <= left + thumb ? at - left : thumb / 2;
        event.currentTarget.setPointerCapture(event.pointerId);
        to(at - held.current);
      }}
      onPointerMove={(event) => {
        if (event.currentTarget.hasPointerCapture(event.pointerId))
          to(event.clientX - event.currentTarget.getBoundingClientRect().left - held.current);
      }}
    >
      <div className="overview-line" />
      {strips.flags.map((flag) => (
        <span
          key={flag.id}
          className="overview-flag"
          style={{ left: x(flag.from), width: Math.max(2, x(flag.to) - x(flag.from)) }}
          title={`${strips.strips.find((strip) => strip.id === stripOfFlag(flag))?.name ?? ""}: ${flagKindLabels[flag.kind]}`}
        />
      ))}
      <span className="overview-playhead" style={{ left: x(frame) }} />
      {zoom > 1 && <div className="overview-thumb" style={{ transform: `translateX(${left}px)`, width: thumb }} />}
    </div>
  );
}
