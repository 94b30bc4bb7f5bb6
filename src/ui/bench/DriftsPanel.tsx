import { useMemo } from "react";
import { families, type Family, type SpeedUnit } from "../../reports/bench/holds.ts";
import type { BenchShot } from "../../reports/bench/holds.ts";
import { benchRows, type BenchRow, type Level, levels, type Order, ranked } from "../../reports/bench/rows.ts";
import { shareWords, speedText, subjectWords } from "../../reports/bench/words.ts";
import { counted } from "../../reports/words.ts";
import { useStore } from "../state/store.ts";
import { Choice } from "../workshop/fields.tsx";
import { bench, orderOf } from "./bench-state.ts";
import { IntervalBar } from "./IntervalBar.tsx";
import { RowDetail } from "./RowDetail.tsx";
import { Sparks } from "./Sparks.tsx";

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

interface Drawn {
  readonly value: number;
  readonly low: number | null;
  readonly high: number | null;
  readonly words: string;
}

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
  return { value, low: low === null ? null : Math.max(0, low), high, words: speedText(speed, order.by) };
}

/** The end of the scale: every value, and every upper end that isn't far beyond them. */
function scaleEnd(drawn: readonly (Drawn | null)[], order: Order): number {
  if (order.by === "often") return 1;
  const values = drawn.flatMap((one) => (one === null ? [] : [one.value]));
  const largest = Math.max(1e-9, ...values);
  const ends = drawn.flatMap((one) => (one?.high == null ? [] : [Math.min(one.high, 2 * largest)]));
  return Math.max(largest, ...ends);
}

function Row({
  row,
  place,
  order,
  drawn,
  most,
  isChosen,
}: {
  readonly row: BenchRow;
  readonly place: number;
  readonly order: Order;
  readonly drawn: Drawn | null;
  readonly most: number;
  readonly isChosen: boolean;
}) {
  const name = subjectWords(row, row.partName);
  const reason =
    order.by !== "often" && "reason" in row.speed[order.by] ? speedText(row.speed[order.by], order.by) : "";
  return (
    <li className={isChosen ? "drift chosen" : "drift"}>
      <button
        type="button"
        className="drift-button"
        aria-pressed={isChosen}
        onClick={() => bench.set({ chosen: row.key })}
      >
        <span className="drift-place">{place + 1}</span>
        <span className="drift-name">
          {name}
          <Sparks holds={row.holds} lines={1} />
        </span>
        <span className="drift-value">
          {drawn === null ? (
            <span className="drift-none">{reason === "" ? "not told" : reason}</span>
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
}

/** The ranked list, and what there is to say about the row that is chosen. */
export function DriftsPanel({ shots }: { readonly shots: readonly BenchShot[] }) {
  const view = useStore(bench, (value) => value);
  const order = orderOf(view);
  const { level, by, family, chosen } = view;
  const rows = useMemo(() => ranked(benchRows(shots, level), orderOf({ by, family })), [shots, level, by, family]);
  const drawn = rows.map((row) => drawnOf(row, order));
  const most = scaleEnd(drawn, order);
  const row = rows.find(({ key }) => key === chosen) ?? rows[0];
  const holds = shots.reduce((sum, each) => sum + each.holds.length, 0);
  return (
    <div className="drifts-panel">
      <section className="drifts-list" aria-label="Ranked list">
        <h1>What drifts</h1>
        <p className="bench-about">
          {holds === 0
            ? "Nothing is kept yet. Check a shot, or take the report files of a night run."
            : `${counted(holds, "hold")} in ${counted(shots.length, "shot")}. What is surely worst stands first: the lower end of its 95 % interval counts, so that something seen once can't stand above something seen forty times.`}
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
        <ol className="drift-rows">
          {rows.map((each, place) => (
            <Row
              key={each.key}
              row={each}
              place={place}
              order={order}
              drawn={drawn[place]}
              most={most}
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
