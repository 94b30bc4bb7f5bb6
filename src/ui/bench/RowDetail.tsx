import { useState } from "react";
import { Button } from "react-aria-components";
import type { BenchShot } from "../../reports/bench/holds.ts";
import { type SpeedUnit, speedOf, speedUnits, speedWords } from "../../reports/bench/holds.ts";
import { type BenchRow, worstHold } from "../../reports/bench/rows.ts";
import { shareWords, speedText, subjectWords } from "../../reports/bench/words.ts";
import { counted, fixed, measured } from "../../reports/words.ts";
import { RepairForm } from "./RepairForm.tsx";
import { Sparks } from "./Sparks.tsx";
import { StoryCard } from "./StoryCard.tsx";
import { useStories } from "./use-bench.ts";

/** As many single holds as are told in words. */
const FASTEST = 5;

const poseWords = (degrees: number | null): string =>
  degrees === null ? "" : `, ${fixed(degrees, 0)}° out from hanging`;

function Fastest({ row, unit }: { readonly row: BenchRow; readonly unit: SpeedUnit }) {
  const holds = row.holds
    .flatMap((one) => {
      const speed = speedOf(one, unit);
      return speed === null ? [] : [{ one, ...speed }];
    })
    .toSorted((a, b) => b.value - 2 * b.sigma - (a.value - 2 * a.sigma))
    .slice(0, FASTEST);
  if (holds.length === 0) return null;
  return (
    <table className="fastest">
      <caption>Fastest holds, surest first</caption>
      <thead>
        <tr>
          <th scope="col">Shot, frames</th>
          <th scope="col">{speedWords[unit]}</th>
        </tr>
      </thead>
      <tbody>
        {holds.map(({ one, value, sigma }) => (
          <tr key={`${one.shot} ${one.hold.part} ${one.hold.from} ${one.hold.copy ?? ""}`}>
            <td>
              {one.shotName}, {one.hold.from} to {one.hold.to}
              {poseWords(one.hold.poseDegrees)}
            </td>
            <td>{measured(value, sigma, "")}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Everything about one row: how often, how fast, the worst pose, each hold, its repairs. */
export function RowDetail({ row, shots }: { readonly row: BenchRow; readonly shots: readonly BenchShot[] }) {
  const [isLogging, setLogging] = useState(false);
  const stories = useStories(shots);
  const name = subjectWords(row, row.partName);
  const unit = speedUnits.find((each) => "mean" in row.speed[each]) ?? null;
  const worst = unit === null ? null : worstHold(row, unit);
  const own =
    row.level === "part"
      ? stories.filter(
          ({ repair }) =>
            repair.part === row.part &&
            (repair.puppet === null || repair.puppet === row.puppet) &&
            (repair.copy === null || repair.copy === row.copy),
        )
      : [];
  const { any, sags, crawls, shifts } = row.often;
  return (
    <section className="row-detail" aria-label={name}>
      <h2>{name}</h2>
      <p>
        Drifts in {shareWords(any)}, {counted(row.shots, "shot")}.
      </p>
      <dl className="facts">
        {sags.count > 0 && (
          <div className="wide">
            <dt>Sags or springs back</dt>
            <dd>{shareWords(sags)}</dd>
          </div>
        )}
        {crawls.count > 0 && (
          <div className="wide">
            <dt>Crawls or boils</dt>
            <dd>{shareWords(crawls)}</dd>
          </div>
        )}
        {shifts.count > 0 && (
          <div className="wide">
            <dt>Is knocked or shifts</dt>
            <dd>{shareWords(shifts)}</dd>
          </div>
        )}
        {speedUnits.map((each) => (
          <div key={each} className="wide">
            <dt>Speed, {speedWords[each]}</dt>
            <dd>{speedText(row.speed[each], each).replace(` ${speedWords[each]}`, "")}</dd>
          </div>
        ))}
        {worst !== null && unit !== null && (
          <div className="wide">
            <dt>Worst pose</dt>
            <dd>
              {worst.one.shotName}, frames {worst.one.hold.from} to {worst.one.hold.to}
              {poseWords(worst.one.hold.poseDegrees)}: {measured(worst.value, worst.sigma, speedWords[unit])}
            </dd>
          </div>
        )}
      </dl>
      <h3>Each hold, the latest last</h3>
      <Sparks holds={row.holds} label={`${counted(row.holds.length, "hold")} of ${name}, by time, on one scale`} />
      {unit !== null && <Fastest row={row} unit={unit} />}
      {row.level === "part" && (
        <>
          <h3>Repairs</h3>
          {own.length === 0 && !isLogging && <p className="bench-about">None is logged.</p>}
          {own.map((story) => (
            <StoryCard key={story.repair.id} story={story} />
          ))}
          {isLogging ? (
            <RepairForm
              key={row.key}
              shots={shots}
              start={{ puppet: row.puppet, copy: row.copy, part: row.part ?? "" }}
              onDone={() => setLogging(false)}
            />
          ) : (
            <Button className="button" onPress={() => setLogging(true)}>
              Log a repair
            </Button>
          )}
        </>
      )}
    </section>
  );
}
