import { scaleLinear } from "d3-scale";
import { type Flag, flagKindLabels } from "../../model/index.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Strip } from "../strips/strips.ts";
import type { Coming } from "./coming.ts";
import { signOf } from "../timeline/paint-strip.ts";
import { fixed } from "../../reports/words.ts";

const WIDTH = 352;
const HEIGHT = 112;
const LEFT = 40;
const BOTTOM = 20;
const TOP = 4;
const RIGHT = 8;

/** The trace of one strip, large, with its band, its uncertainty and the frame that is up. */
export function Trace({
  strip,
  frames,
  flag,
  coming = null,
}: {
  readonly strip: Pick<Strip, "name" | "unit" | "value" | "sigma" | "band" | "direction">;
  readonly frames: readonly number[];
  readonly flag: Flag | null;
  /** The law of the flag's drift and where it goes; null where none is told. */
  readonly coming?: Coming | null;
}) {
  const frame = useStore(view, (value) => value.frame);
  const sign = signOf(strip);
  let [low, high] = [-strip.band * 1.25, strip.band * 1.25];
  for (const [i, value] of strip.value.entries()) {
    if (Number.isNaN(value)) continue;
    const sigma = Number.isNaN(strip.sigma[i]) ? 0 : strip.sigma[i];
    low = Math.min(low, (value - sigma) * 1.08);
    high = Math.max(high, (value + sigma) * 1.08);
  }
  const lastFrame = Math.max(frames[0] + 1, frames[frames.length - 1]);
  const ahead = coming?.ahead ?? null;
  for (const { px } of coming?.law ?? []) {
    low = Math.min(low, px * 1.08);
    high = Math.max(high, px * 1.08);
  }
  const x = scaleLinear([frames[0], Math.max(lastFrame, ahead ?? lastFrame)], [LEFT + 4, WIDTH - RIGHT]);
  const y = scaleLinear(sign === 1 ? [low, high] : [high, low], [TOP, HEIGHT - BOTTOM]);
  const runs: number[][] = [[]];
  for (let i = 0; i < frames.length; i++) {
    if (Number.isNaN(strip.value[i])) {
      if (runs[runs.length - 1].length > 0) runs.push([]);
    } else runs[runs.length - 1].push(i);
  }
  const line = (indices: readonly number[]) =>
    indices.map((i, k) => `${k === 0 ? "M" : "L"}${x(frames[i]).toFixed(1)} ${y(strip.value[i]).toFixed(1)}`).join("");
  const ribbon = (indices: readonly number[], times: number) => {
    const edge = (i: number, side: number) =>
      `${x(frames[i]).toFixed(1)} ${y(strip.value[i] + side * times * (Number.isNaN(strip.sigma[i]) ? 0 : strip.sigma[i])).toFixed(1)}`;
    return `M${indices.map((i) => edge(i, 1)).join("L")}L${[...indices]
      .reverse()
      .map((i) => edge(i, -1))
      .join("L")}Z`;
  };
  const inFlag = flag
    ? frames
        .map((_, i) => i)
        .filter((i) => frames[i] >= flag.from - 1 && frames[i] <= flag.to && !Number.isNaN(strip.value[i]))
    : [];
  const ticks = y.ticks(3);
  const decimals = Math.max(
    0,
    ...ticks.map((tick) => (String(Math.round(tick * 1e6) / 1e6).split(".")[1] ?? "").length),
  );
  const index = frames.indexOf(frame);
  const bandTop = Math.min(y(strip.band), y(-strip.band));
  const bandHeight = Math.abs(y(strip.band) - y(-strip.band));
  const frameTicks = x.ticks(6).filter((tick) => Number.isInteger(tick));
  return (
    <svg
      className="trace"
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      role="img"
      aria-label={`Drift of ${strip.name} in ${strip.unit}, frame by frame${flag ? `: ${flagKindLabels[flag.kind]} from frame ${flag.from} to ${flag.to}` : ""}. Band ${fixed(strip.band, 2)} ${strip.unit}.`}
    >
      <rect className="trace-band" x={LEFT} y={bandTop} width={WIDTH - LEFT - RIGHT + 4} height={bandHeight} />
      {ticks.map((tick) => (
        <g key={tick}>
          <line
            className={tick === 0 ? "trace-zero" : "trace-grid"}
            x1={LEFT}
            x2={WIDTH - RIGHT + 4}
            y1={y(tick)}
            y2={y(tick)}
          />
          <text className="trace-number" x={LEFT - 7} y={y(tick) + 4} textAnchor="end">
            {fixed(tick, decimals)}
          </text>
        </g>
      ))}
      {frameTicks.map((tick) => (
        <text key={tick} className="trace-number" x={x(tick)} y={HEIGHT - 5} textAnchor="middle">
          {tick}
        </text>
      ))}
      {index >= 0 && <line className="trace-now" x1={x(frame)} x2={x(frame)} y1={TOP} y2={HEIGHT - BOTTOM} />}
      {runs.map((run) =>
        run.length === 0 ? null : (
          <g key={run[0]}>
            <path className="trace-ribbon" d={ribbon(run, 1)} />
            <path className="trace-line" d={run.length === 1 ? `${line(run)}h0.01` : line(run)} />
          </g>
        ),
      )}
      {coming && (
        <g className="trace-coming">
          {ahead !== null && ahead > lastFrame && (
            <rect x={x(lastFrame)} y={TOP} width={x(ahead) - x(lastFrame)} height={HEIGHT - BOTTOM - TOP} />
          )}
          <path
            d={coming.law
              .map(({ frame: at, px }, k) => `${k === 0 ? "M" : "L"}${x(at).toFixed(1)} ${y(px).toFixed(1)}`)
              .join("")}
          />
          {coming.crossings.map(({ px, frame: at, from, to }) => (
            <g key={px}>
              <line x1={x(from)} x2={x(to)} y1={y(px)} y2={y(px)} />
              <circle cx={x(at)} cy={y(px)} r={3} />
            </g>
          ))}
        </g>
      )}
      {inFlag.length > 0 && (
        <>
          <path className="trace-ribbon drifts" d={ribbon(inFlag, 1)} />
          <path className="trace-edge" d={line(inFlag)} />
          <path className="trace-line drifts" d={line(inFlag)} />
        </>
      )}
      {index >= 0 && !Number.isNaN(strip.value[index]) && (
        <circle
          className={flag && flag.from <= frame && frame <= flag.to ? "trace-dot drifts" : "trace-dot"}
          cx={x(frame)}
          cy={y(strip.value[index])}
          r={4}
        />
      )}
    </svg>
  );
}
