import { useEffect, useLayoutEffect, useMemo, useRef, useState } from "react";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strips } from "../strips/strips.ts";
import { Axis } from "./Axis.tsx";
import { Figure } from "./Figure.tsx";
import { Leaders } from "./Leaders.tsx";
import { Reading } from "./Reading.tsx";
import { AXIS_HEIGHT, FRAME_ROW, frameScale, rowHeightFor } from "./scale.ts";
import { Splitter } from "./Splitter.tsx";
import { StripRows } from "./StripRows.tsx";

/** Sizes of the timeline's columns as the style sheet lays them out, px. */
interface Room {
  readonly figure: number;
  readonly tracks: number;
  /** Where the strips begin, from the left of the pane. */
  readonly left: number;
  readonly height: number;
  /** Width of the scroll bar, which only the parts have. */
  readonly gutter: number;
}

/** The seismograph under the light table: figure, strips, marks and playhead. Camera and light stay in sight. */
export function Timeline({ strips }: { readonly strips: Strips }) {
  const pane = useRef<HTMLDivElement>(null);
  const figure = useRef<HTMLDivElement>(null);
  const ruler = useRef<HTMLDivElement>(null);
  const scroller = useRef<HTMLDivElement>(null);
  const [room, setRoom] = useState<Room>({ figure: 0, tracks: 0, left: 0, height: 0, gutter: 0 });
  const [scrolled, setScrolled] = useState(0);

  useLayoutEffect(() => {
    const measure = () =>
      setRoom({
        figure: figure.current?.clientWidth ?? 0,
        tracks: ruler.current?.clientWidth ?? 0,
        left: (ruler.current?.getBoundingClientRect().left ?? 0) - (pane.current?.getBoundingClientRect().left ?? 0),
        height: pane.current?.clientHeight ?? 0,
        gutter: (scroller.current?.offsetWidth ?? 0) - (scroller.current?.clientWidth ?? 0),
      });
    const observer = new ResizeObserver(measure);
    for (const { current } of [pane, ruler, scroller]) if (current) observer.observe(current);
    measure();
    return () => observer.disconnect();
  }, []);

  const [parts, whole] = useMemo(
    () => [
      strips.strips.filter((strip) => strip.kind === "part"),
      strips.strips.filter((strip) => strip.kind !== "part"),
    ],
    [strips],
  );
  const scale = useMemo(() => frameScale(strips.frames, room.tracks), [strips.frames, room.tracks]);
  const forParts = room.height - AXIS_HEIGHT - FRAME_ROW * whole.length;
  const rowHeight = rowHeightFor(parts.length, forParts);
  // Rows of which less than a third is in sight count as below.
  const inSight = Math.max(0, forParts);
  const below = room.height === 0 ? 0 : Math.max(0, parts.length - Math.floor((scrolled + inSight) / rowHeight + 0.34));

  const chosen = useStore(view, (value) => value.strip);
  useEffect(() => {
    const row = parts.findIndex((strip) => strip.id === chosen);
    const element = scroller.current;
    if (row < 0 || !element) return;
    const top = row * rowHeight;
    if (top < element.scrollTop) element.scrollTop = top;
    else if (top + rowHeight > element.scrollTop + element.clientHeight) {
      element.scrollTop = top + rowHeight - element.clientHeight;
    }
  }, [chosen, parts, rowHeight]);

  return (
    <section className="timeline" aria-label="Drift, strip by strip">
      <Splitter />
      <div className="timeline-pane" ref={pane}>
        <div className="timeline-figure" ref={figure}>
          {room.figure > 0 && room.height > 0 && <Figure strips={strips} width={room.figure} height={room.height} />}
        </div>
        <div className="timeline-rows">
          <div className="strip-rows timeline-head" style={{ paddingRight: room.gutter }}>
            <div className="timeline-more">
              {below > 0 && (
                <button type="button" onClick={() => scroller.current?.scrollTo({ top: scrolled + inSight })}>
                  {below} more below
                  <svg width="10" height="10" viewBox="0 0 10 10" aria-hidden="true">
                    <path d="M2 3.5 5 6.5 8 3.5" />
                  </svg>
                </button>
              )}
            </div>
            <div ref={ruler}>
              <Axis frames={strips.frames} scale={scale} />
            </div>
            <div className="timeline-unit">at the playhead</div>
          </div>
          <div
            className={below > 0 ? "timeline-scroll more" : "timeline-scroll"}
            ref={scroller}
            onScroll={(event) => setScrolled(event.currentTarget.scrollTop)}
          >
            {room.tracks > 0 && <StripRows rows={parts} strips={strips} scale={scale} rowHeight={rowHeight} />}
          </div>
          <div className="timeline-foot" style={{ paddingRight: room.gutter }}>
            {room.tracks > 0 && <StripRows rows={whole} strips={strips} scale={scale} rowHeight={FRAME_ROW} />}
          </div>
        </div>
        <Reading
          strips={strips}
          scale={scale}
          left={room.left}
          height={room.height}
          topOf={(id) => {
            const row = parts.findIndex((strip) => strip.id === id);
            const foot = room.height - FRAME_ROW * (whole.length - whole.findIndex((strip) => strip.id === id));
            const top = row < 0 ? foot : AXIS_HEIGHT + row * rowHeight - scrolled;
            return { top, bottom: top + (row < 0 ? FRAME_ROW : rowHeight) };
          }}
        />
        {room.figure > 0 && (
          <Leaders
            rows={parts}
            strips={strips}
            figureWidth={room.figure}
            height={room.height}
            top={AXIS_HEIGHT}
            bottom={room.height - FRAME_ROW * whole.length}
            rowMiddle={(row) => AXIS_HEIGHT + row * rowHeight + rowHeight / 2 - scrolled}
          />
        )}
      </div>
    </section>
  );
}
