import { memo, useMemo, useRef } from "react";
import { families, type Family, type SpeedUnit, speedWords } from "../../reports/bench/holds.ts";
import type { BenchShot } from "../../reports/bench/holds.ts";
import { benchRows, type BenchRow, type Level, levels, type Order, ranked } from "../../reports/bench/rows.ts";
import { puppetWords, readable, shareWords, speedText, subjectWords } from "../../reports/bench/words.ts";
import { counted } from "../../reports/words.ts";
import { useStore } from "../state/store.ts";
import { Choice } from "../workshop/fields.tsx";
import { bench, orderOf } from "./bench-state.ts";
import { IntervalBar } from "./IntervalBar.tsx";
import { RowDetail } from "./RowDetail.tsx";
import { SparkLine } from "./SparkLine.tsx";
import { useWidth, useWindow } from "./use-window.ts";

const levelWords: Readonly<Record<Level, string>> = {
  puppet: "puppet",
  copy: "copy",
  part: "part",
  joint: "joint",
  kind: "kind of part",
};

const orderWords: Readonly<Record<"often" | SpeedUnit, string>> = {
  often: "how often",
  degrees: "degrees an hour",
  mm: "mm an hour",
  px: "px an hour",
};

const familyWords: Readonly<Record<Family | "any", string>> = {
  any: "drifts in any way",
  sags: "sags or springs back",
  crawls: "crawls or boils",
  shifts: "is knocked or shifts",
};

/** px: widths of the list's columns, as its style has them. */
const PLACE = 30;
const INTERVAL = 300;
const NARROW = 620;
const NARROW_INTERVAL = 190;

interface Drawn {
  readonly value: number;
  readonly low: number | null;
  readonly high: number | null;
  readonly words: string;
}

/** The scale above the list says the unit. */
const shortWords = (speed: BenchRow["speed"]["px"], unit: SpeedUnit): string =>
  speedText(speed, unit).replace(` ${speedWords[unit]}`, "");

/** What a row is ranked by, to be drawn; null where it can't be told. */
function drawnOf(row: BenchRow, order: Order): Drawn | null {
  if (order.by === "often") {
    const share = row.often[order.family];
    if (share.of === 0) return null;
    return { value: share.count / share.of, low: share.low, high: share.high, words: shareWords(share) };
  }
  const speed = row.speed[order.by];
  if (!("mean" in speed)) return null;
  const { value, low, high } = speed.mean;
  return { value, low: low === null ? null : Math.max(0, low), high, words: shortWords(speed, order.by) };
}

/** The end of the scale: every value, and every upper end that isn't far beyond them. */
function scaleEnd(drawn: readonly (Drawn | null)[], order: Order): number {
  if (order.by === "often") return 1;
  const values = drawn.flatMap((one) => (one === null ? [] : [one.value]));
  const largest = Math.max(1e-9, ...values);
  const ends = drawn.flatMap((one) => (one?.high == null ? [] : [Math.min(one.high, 2 * largest)]));
  return Math.max(largest, ...ends);
}

/** px; every row is as high as the next, so that only those near the window are drawn. */
const ROW_HEIGHT = 78;

/** What a row is called, and whose it is. */
function namesOf(row: BenchRow): readonly [name: string, owner: string] {
  const owner = puppetWords(row.puppet, row.copy);
  switch (row.level) {
    case "part":
      return [row.partName ?? readable(row.part ?? ""), owner];
    case "joint":
      return [readable(row.joint ?? ""), owner];
    case "kind":
      return [subjectWords(row, null), ""];
    default:
      return [owner, ""];
  }
}

const Row = memo(function Row({
  row,
  place,
  order,
  drawn,
  most,
  width,
  isChosen,
}: {
  readonly row: BenchRow;
  readonly place: number;
  readonly order: Order;
  readonly drawn: Drawn | null;
  readonly most: number;
  /** Of the drawing of its holds, px. */
  readonly width: number;
  readonly isChosen: boolean;
}) {
  const [name, owner] = namesOf(row);
  const reason =
    order.by !== "often" && "reason" in row.speed[order.by] ? speedText(row.speed[order.by], order.by) : "";
  return (
    <li className={isChosen ? "drift chosen" : "drift"} style={{ top: place * ROW_HEIGHT, height: ROW_HEIGHT }}>
      <button
        type="button"
        className="drift-button"
        aria-pressed={isChosen}
        onClick={() => bench.set({ chosen: row.key })}
      >
        <span className="drift-place">{place + 1}</span>
        <span className="drift-name" title={`${name}${owner === "" ? "" : `, ${owner}`}`}>
          {name} {owner !== "" && <span>{owner}</span>}
        </span>
        <SparkLine holds={row.holds} width={width} />
        <span className="drift-value">
          {drawn === null ? (
            <span className="drift-none" title={reason}>
              {reason === "" ? "not told" : reason}
            </span>
          ) : (
            <>
              <IntervalBar {...drawn} most={most} label={drawn.words} />
              <span className="drift-words" aria-hidden="true">
                {drawn.words}
              </span>
            </>
          )}
        </span>
      </button>
    </li>
  );
});

/** The ranked list, and what there is to say about the row that is chosen. */
export function DriftsPanel({ shots }: { readonly shots: readonly BenchShot[] }) {
  const view = useStore(bench, (value) => value);
  const { level, by, family, chosen } = view;
  const order = useMemo(() => orderOf({ by, family }), [by, family]);
  const unranked = useMemo(() => benchRows(shots, level), [shots, level]);
  const rows = useMemo(() => ranked(unranked, order), [unranked, order]);
  const drawn = useMemo(() => rows.map((row) => drawnOf(row, order)), [rows, order]);
  const most = useMemo(() => scaleEnd(drawn, order), [drawn, order]);
  const list = useRef<HTMLOListElement>(null);
  const width = useWidth(list);
  const { from, to } = useWindow(list, rows.length, ROW_HEIGHT);
  const isNarrow = width < NARROW;
  const sparks = Math.max(60, width - PLACE - (isNarrow ? NARROW_INTERVAL : INTERVAL) - 16);
  const row = rows.find(({ key }) => key === chosen) ?? rows[0];
  const holds = shots.reduce((sum, each) => sum + each.holds.length, 0);
  return (
    <div className="drifts-panel">
      <section className={isNarrow ? "drifts-list narrow" : "drifts-list"} aria-label="Ranked list">
        <h1>What drifts</h1>
        <p className="bench-about">
          {holds === 0
            ? "Nothing is kept yet. Check a shot, or take the report files of a night run."
            : `${counted(holds, "hold")} in ${counted(shots.length, "shot")}. What is surely worst stands first: the lower end of its 95 % interval counts, so that something seen once can't stand above something seen forty times. Small drawings: its holds by time, the latest at the right, those that were flagged underlined.`}
        </p>
        <div className="drifts-ask">
          <Choice
            label="List by"
            value={level}
            options={levels.map((each) => [each, levelWords[each]] as const)}
            onChange={(each) => bench.set({ level: levels.find((one) => one === each) ?? "part", chosen: null })}
          />
          <Choice
            label="In the order of"
            value={by}
            options={(["often", "degrees", "mm", "px"] as const).map((each) => [each, orderWords[each]] as const)}
            onChange={(each) =>
              bench.set({ by: each === "degrees" || each === "mm" || each === "px" ? each : "often" })
            }
          />
          {by === "often" && (
            <Choice
              label="What it does"
              value={family}
              options={(["any", ...families] as const).map((each) => [each, familyWords[each]] as const)}
              onChange={(each) => bench.set({ family: families.find((one) => one === each) ?? "any" })}
            />
          )}
        </div>
        {rows.length > 0 && (
          <p className="drifts-scale" aria-hidden="true">
            <span>0</span>
            <span>{by === "often" ? "100 %" : `${Number(most.toPrecision(2))} ${orderWords[by]}`}</span>
          </p>
        )}
        <ol ref={list} className="drift-rows" style={{ height: rows.length * ROW_HEIGHT }}>
          {rows.slice(from, to).map((each, index) => (
            <Row
              key={each.key}
              row={each}
              place={from + index}
              order={order}
              drawn={drawn[from + index]}
              most={most}
              width={sparks}
              isChosen={each === row}
            />
          ))}
        </ol>
        {rows.length === 0 && holds > 0 && (
          <p className="bench-about">
            {level === "joint"
              ? "No flag has named a joint yet."
              : "There is no hold to judge: every piece is swapped."}
          </p>
        )}
      </section>
      {row !== undefined && <RowDetail row={row} shots={shots} />}
    </div>
  );
}
