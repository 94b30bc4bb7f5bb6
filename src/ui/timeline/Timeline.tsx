import { useCallback, useEffect, useLayoutEffect, useMemo, useRef, useState } from "react";
import { timecodeOf } from "../../model/index.ts";
import type { FrameNumber } from "../../units/index.ts";
import { fold, folded } from "../state/folded.ts";
import { fitLane, keepInSight } from "../state/lane.ts";
import { dropRange } from "../state/range.ts";
import { reading } from "../state/reading.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { groupsOf } from "../strips/groups.ts";
import type { Strips } from "../strips/strips.ts";
import type { FrameClock } from "../words/axis-words.ts";
import { Axis } from "./Axis.tsx";
import { Figure } from "./Figure.tsx";
import { happeningsOf } from "./happenings.ts";
import { useLaneWheel } from "./lane-pointer.ts";
import { Leaders } from "./Leaders.tsx";
import { Overview } from "./Overview.tsx";
import { Reading } from "./Reading.tsx";
import { plainRows, rowPlan, rowsBetween } from "./row-plan.ts";
import { AXIS_HEIGHT, FRAME_ROW, HEAD_ROW, OVERVIEW_HEIGHT, rowHeightFor } from "./scale.ts";
import { Splitter } from "./Splitter.tsx";
import { StripRows } from "./StripRows.tsx";
import { TimelineBar } from "./TimelineBar.tsx";

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

/** Rows that are drawn above and below what is in sight, so that scrolling never shows an empty one. */
const SPARE = 3;
/** Height of the fade at the lower end, px; as in lane.css. */
const FADE = 22;
const ID = "timeline-strips";

/** The seismograph under the light table: figure, strips, marks and playhead. Camera and light stay in sight. */
export function Timeline({ strips }: { readonly strips: Strips }) {
  const pane = useRef<HTMLDivElement>(null);
  const figure = useRef<HTMLDivElement>(null);
  const ruler = useRef<HTMLDivElement>(null);
  const scroller = useRef<HTMLDivElement>(null);
  const lanes = useRef<HTMLDivElement>(null);
  const [room, setRoom] = useState<Room>({ figure: 0, tracks: 0, left: 0, height: 0, gutter: 0 });
  const [scrolled, setScrolled] = useState(0);
  const report = useStore(session, (value) => value.report);
  const sheet = useStore(session, (value) => value.sheet);
  const foldedGroups = useStore(folded, (value) => value.groups);

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
  useLayoutEffect(() => fitLane(strips.frames, room.tracks), [strips.frames, room.tracks]);
  useLaneWheel(
    lanes,
    useCallback(() => ruler.current?.getBoundingClientRect().left ?? 0, []),
  );

  const [groups, whole] = useMemo(
    () => [
      groupsOf(strips.strips.filter((strip) => strip.kind === "part")),
      plainRows(
        strips.strips.filter((strip) => strip.kind !== "part"),
        FRAME_ROW,
      ),
    ],
    [strips],
  );
  const parts = groups.reduce((sum, group) => sum + group.strips.length, 0);
  const forParts = Math.max(0, room.height - AXIS_HEIGHT - whole.height - OVERVIEW_HEIGHT);
  const heads = groups.length > 1 ? HEAD_ROW * groups.length : 0;
  const rowHeight = rowHeightFor(parts, forParts - heads);
  const plan = useMemo(() => rowPlan(groups, foldedGroups, rowHeight), [groups, foldedGroups, rowHeight]);
  const [first, end] = rowsBetween(plan, scrolled, scrolled + forParts);
  const [from, to] = [Math.max(0, first - SPARE), Math.min(plan.rows.length, end + SPARE)];
  // Rows of which less than a third is in sight count as below.
  const below =
    room.height === 0
      ? 0
      : plan.rows.filter((row) => row.kind === "strip" && row.top + row.height * 0.34 > scrolled + forParts).length;

  const chosen = useStore(view, (value) => value.strip);
  useEffect(() => {
    const home = groups.find((group) => group.strips.some((strip) => strip.id === chosen));
    if (home && folded.get().groups.has(home.id)) fold(home.id, false);
  }, [chosen, groups]);
  useEffect(() => {
    const row = chosen === null ? undefined : plan.rowOf.get(chosen);
    const element = scroller.current;
    if (!row || !element) return;
    // The first of a group takes its heading along.
    const top = plan.rows[plan.rows.indexOf(row) - 1]?.kind === "head" ? row.top - HEAD_ROW : row.top;
    // Where more rows are below, the last of what is in sight fades: a chosen one stands above that.
    const end = Math.min(plan.height, row.top + row.height + FADE);
    if (top < element.scrollTop) element.scrollTop = top;
    else if (end > element.scrollTop + element.clientHeight) element.scrollTop = end - element.clientHeight;
  }, [chosen, plan, forParts]);
  useEffect(() => {
    let seen = view.get().frame;
    return view.listen(() => {
      const { frame, playing } = view.get();
      if (frame === seen) return;
      seen = frame;
      if (!playing || reading.get().follow) keepInSight(frame, playing);
    });
  }, []);

  const happenings = useMemo(() => (report ? happeningsOf(report, sheet) : []), [report, sheet]);
  const clock = useMemo((): FrameClock => {
    const times = new Map(report?.frames.map(({ frame, time }) => [frame as number, time]));
    return {
      fps: report?.shot.fps ?? 24,
      timecodeStart: sheet?.shot.timecodeStart ?? report?.shot.timecodeStart ?? null,
      timeOf: (frame) => times.get(frame) ?? null,
    };
  }, [report, sheet]);
  const hasTimes = useMemo(() => strips.frames.some((frame) => clock.timeOf(frame) !== null), [strips.frames, clock]);

  return (
    <section className="timeline" aria-label="Drift, strip by strip">
      <Splitter />
      <div className="timeline-pane" ref={pane}>
        <TimelineBar
          hasScale={strips.strips.some((strip) => strip.pxPerMm !== null)}
          hasTimes={hasTimes}
          hasTimecode={timecodeOf(0 as FrameNumber, clock.fps, clock.timecodeStart) !== null}
        />
        <div className="timeline-figure" ref={figure}>
          {room.figure > 0 && room.height > 0 && <Figure strips={strips} width={room.figure} height={room.height} />}
        </div>
        <div className="timeline-rows" ref={lanes}>
          <div className="strip-rows timeline-head" style={{ paddingRight: room.gutter }}>
            <div />
            <div ref={ruler}>
              <Axis frames={strips.frames} clock={clock} happenings={happenings} />
            </div>
            <HeadWords />
          </div>
          <div
            id={ID}
            className={below > 0 ? "timeline-scroll more" : "timeline-scroll"}
            ref={scroller}
            onScroll={(event) => setScrolled(event.currentTarget.scrollTop)}
          >
            {room.tracks > 0 && <StripRows plan={plan} from={from} to={to} strips={strips} happenings={happenings} />}
          </div>
          <div className="timeline-foot" style={{ paddingRight: room.gutter }}>
            {room.tracks > 0 && (
              <StripRows plan={whole} from={0} to={whole.rows.length} strips={strips} happenings={happenings} />
            )}
          </div>
          <div className="strip-rows timeline-overview" style={{ paddingRight: room.gutter }}>
            <div className="timeline-more">
              {below > 0 && (
                <button type="button" onClick={() => scroller.current?.scrollTo({ top: scrolled + forParts })}>
                  {below} more below
                  <svg width="10" height="10" viewBox="0 0 10 10" aria-hidden="true">
                    <path d="M2 3.5 5 6.5 8 3.5" />
                  </svg>
                </button>
              )}
            </div>
            {room.tracks > 0 && <Overview strips={strips} id={ID} />}
          </div>
        </div>
        <Reading
          strips={strips}
          happenings={happenings}
          left={room.left}
          height={room.height}
          topOf={(id) => {
            const row = plan.rowOf.get(id);
            const foot = whole.rowOf.get(id);
            const top = row
              ? AXIS_HEIGHT + row.top - scrolled
              : room.height - OVERVIEW_HEIGHT - whole.height + (foot?.top ?? 0);
            return { top, bottom: top + (row ?? foot ?? { height: 0 }).height };
          }}
        />
        {room.figure > 0 && (
          <Leaders
            plan={plan}
            strips={strips}
            figureWidth={room.figure}
            height={room.height}
            scrolled={scrolled}
            bottom={room.height - OVERVIEW_HEIGHT - whole.height}
          />
        )}
      </div>
    </section>
  );
}

/** Over the numbers at the right: what they are told at, or the range that is played. */
function HeadWords() {
  const range = useStore(view, (value) => value.range);
  if (range === null) return <div className="timeline-unit">at the playhead</div>;
  return (
    <div className="timeline-unit ranged">
      <span>{range.from === range.to ? `frame ${range.from}` : `frames ${range.from} to ${range.to}`}</span>
      <button type="button" aria-label="Let go of the range" title="Let go of the range" onClick={dropRange}>
        <svg width="12" height="12" viewBox="0 0 14 14" aria-hidden="true">
          <path d="M3 3l8 8M11 3l-8 8" />
        </svg>
      </button>
    </div>
  );
}
