import { scaleLinear } from "d3-scale";
import type { PartProof } from "../../model/index.ts";
import { fixed } from "../../reports/words.ts";

const WIDTH = 352;
/** The drift itself above, and below it what is off, enlarged. */
const HEIGHT = 118;
const OFF_HEIGHT = 54;
/** Room for what the lower drawing reaches, between the two. */
const OFF_WORDS = 15;
const [LEFT, RIGHT, TOP, BOTTOM] = [44, 8, 6, 20];

/** What was put in, a thin line, and what came back, dots with 3 sigma; below, every size that was tried. */
export function ProofDrawing({ part }: { readonly part: PartProof }) {
  const { frames, put, cameBack, bandPx, tried } = part;
  const told = frames.flatMap(({ frame, measuredPx, sigma }) =>
    measuredPx === null ? [] : [{ frame, px: measuredPx, sigma: sigma ?? 0 }],
  );
  const high = Math.max(put.px, bandPx, ...told.map(({ px, sigma }) => px + 3 * sigma)) * 1.06;
  const low = Math.min(0, ...told.map(({ px, sigma }) => px - 3 * sigma));
  const x = scaleLinear([part.from - 1, Math.max(part.from, part.to)], [LEFT + 4, WIDTH - RIGHT - 4]);
  // A drift goes down as it does on the strips, where it goes down in the picture.
  const falls = put.direction[1] >= 0;
  const y = scaleLinear(falls ? [low, high] : [high, low], [TOP, HEIGHT - BOTTOM]);
  const off = frames.flatMap(({ frame, measuredPx, putPx, sigma }) =>
    measuredPx === null ? [] : [{ frame, px: measuredPx - putPx, sigma: sigma ?? 0 }],
  );
  const most = Math.max(0.001, ...off.map(({ px, sigma }) => Math.abs(px) + 3 * sigma));
  const e = scaleLinear(falls ? [-most, most] : [most, -most], [HEIGHT + OFF_WORDS, HEIGHT + OFF_HEIGHT - 3]);
  const ticks = y.ticks(3);
  const [a, b] = [y(-Math.min(bandPx, high)), y(Math.min(bandPx, high))];
  return (
    <figure>
      <svg
        className="trace"
        viewBox={`0 0 ${WIDTH} ${HEIGHT + OFF_HEIGHT}`}
        role="img"
        aria-label={`Put into ${part.name}: ${fixed(put.px, 2)} px by frame ${part.to}. Came back: ${fixed(cameBack.px, 3)} px, RMS error ${fixed(cameBack.rmsPx, 4)} px.`}
      >
        <rect
          className="trace-band"
          x={LEFT}
          y={Math.max(TOP, Math.min(a, b))}
          width={WIDTH - LEFT - RIGHT}
          height={Math.min(HEIGHT - BOTTOM, Math.max(a, b)) - Math.max(TOP, Math.min(a, b))}
        />
        {ticks.map((tick) => (
          <g key={tick}>
            <line
              className={tick === 0 ? "trace-zero" : "trace-grid"}
              x1={LEFT}
              x2={WIDTH - RIGHT}
              y1={y(tick)}
              y2={y(tick)}
            />
            <text className="trace-number" x={LEFT - 7} y={y(tick) + 4} textAnchor="end">
              {fixed(tick, tick === 0 || high > 3 ? 0 : 1)}
            </text>
          </g>
        ))}
        {x
          .ticks(6)
          .filter((tick) => Number.isInteger(tick))
          .map((tick) => (
            <text key={tick} className="trace-number" x={x(tick)} y={HEIGHT - 5} textAnchor="middle">
              {tick}
            </text>
          ))}
        <path
          className="proof-put"
          d={`M${x(part.from - 1)} ${y(0)}${frames.map(({ frame, putPx }) => `L${x(frame).toFixed(1)} ${y(putPx).toFixed(1)}`).join("")}`}
        />
        {told.map(({ frame, px, sigma }) => (
          <g key={frame} className="proof-back">
            <line x1={x(frame)} x2={x(frame)} y1={y(px - 3 * sigma)} y2={y(px + 3 * sigma)} />
            <circle cx={x(frame)} cy={y(px)} r={2.6} />
          </g>
        ))}
        <line className="trace-zero" x1={LEFT} x2={WIDTH - RIGHT} y1={e(0)} y2={e(0)} />
        <text className="trace-number" x={LEFT - 7} y={e(0) + 4} textAnchor="end">
          off
        </text>
        <text className="trace-number" x={WIDTH - RIGHT} y={HEIGHT + 9} textAnchor="end">
          ±{fixed(most, 3)} px, 3 sigma
        </text>
        {off.map(({ frame, px, sigma }) => (
          <g key={frame} className="proof-back">
            <line x1={x(frame)} x2={x(frame)} y1={e(px - 3 * sigma)} y2={e(px + 3 * sigma)} />
            <circle cx={x(frame)} cy={e(px)} r={2} />
          </g>
        ))}
      </svg>
      <figcaption className="proof-tried">
        <span>Tried, px:</span>
        {tried
          .toSorted((one, other) => one.px - other.px)
          .map(({ px, flagged }) => (
            <span key={px} className={flagged ? "seen" : "missed"}>
              {fixed(px, px < 0.1 ? 3 : 2)} {flagged ? "✓" : "×"}
              <span className="visually-hidden">{flagged ? "shows" : "does not show"}</span>
            </span>
          ))}
      </figcaption>
    </figure>
  );
}
