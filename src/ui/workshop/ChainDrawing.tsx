import { Fragment } from "react";
import type { Report } from "../../model/index.ts";
import { branchOf, type Chain } from "../../workshop/joint-load/chain.ts";
import type { JointLoad } from "../../workshop/joint-load/moments.ts";
import { useWords } from "./fields.tsx";

const WIDTH = 620;
const HEIGHT = 320;
const MARGIN = 46;

type Box = readonly [left: number, top: number, right: number, bottom: number];

const boxOf = (points: readonly (readonly [number, number])[]): Box => {
  const xs = points.map(([x]) => x).filter(Number.isFinite);
  const ys = points.map(([, y]) => y).filter(Number.isFinite);
  return xs.length === 0 ? [0, 0, 1, 1] : [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
};

/** An arrow that turns: three quarters of a circle about a place, clockwise or against. */
function turnPath(x: number, y: number, radius: number, sense: -1 | 0 | 1): string {
  const at = (degrees: number, r = radius) =>
    `${(x + r * Math.cos((degrees * Math.PI) / 180)).toFixed(1)} ${(y + r * Math.sin((degrees * Math.PI) / 180)).toFixed(1)}`;
  const [from, to] = sense >= 0 ? [-150, 70] : [-30, -250];
  const head = sense >= 0 ? to - 14 : to + 14;
  return `M${at(from)}A${radius} ${radius} 0 1 ${sense >= 0 ? 1 : 0} ${at(to)}M${at(head, radius - 5)}L${at(to)}L${at(head, radius + 5)}`;
}

/** The chain as it stands in the picture: links, joints with the moment that each bears, weights, and gravity. */
export function ChainDrawing({
  chain,
  loads,
  report,
  chosen,
}: {
  readonly chain: Chain;
  readonly loads: readonly JointLoad[];
  readonly report: Report | null;
  readonly chosen: string | null;
}) {
  const words = useWords();
  const branch = chosen === null ? null : branchOf(chain.links, chosen);
  // Labels from left to right alternately above and below, so that neighbours don't lie on each other.
  const labelled = loads
    .filter(({ linkId }) => branch === null || branch.has(linkId))
    .map(({ linkId }) => ({ linkId, x: chain.links.find(({ id }) => id === linkId)?.joint?.at[0] ?? 0 }))
    .sort((a, b) => a.x - b.x)
    .map(({ linkId }) => linkId);
  const chosenIds = chain.links.map(({ id }) => id);
  const outlines = report?.parts.filter(({ id }) => chosenIds.includes(id)) ?? [];
  const places = chain.links.flatMap(({ joint, centre }) => [centre, ...(joint === null ? [] : [joint.at])]);
  const box = boxOf([...places, ...outlines.flatMap(({ outline }) => outline)]);
  const scale = Math.min(
    (WIDTH - 2 * MARGIN) / Math.max(1, box[2] - box[0]),
    (HEIGHT - 2 * MARGIN) / Math.max(1, box[3] - box[1]),
  );
  const offset = [
    (WIDTH - scale * (box[2] - box[0])) / 2 - scale * box[0],
    (HEIGHT - scale * (box[3] - box[1])) / 2 - scale * box[1],
  ];
  const at = ([x, y]: readonly [number, number]) => [scale * x + offset[0], scale * y + offset[1]] as const;
  const most = Math.max(1e-9, ...loads.map(({ momentNmm }) => momentNmm?.value ?? 0));
  const downLength = Math.hypot(...chain.down);
  const told = loads.filter(({ momentNmm }) => momentNmm !== null);
  const label = `The chain with its moments: ${told.map((load) => `${load.jointName} ${words(load.momentNmm?.value ?? 0, "moment")}`).join(", ") || "none told"}.`;
  return (
    <svg className="chain" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={label}>
      {outlines.map(({ id, outline }) => (
        <path
          key={id}
          className="chain-outline"
          d={`M${outline
            .map((point) =>
              at(point)
                .map((v) => v.toFixed(1))
                .join(" "),
            )
            .join("L")}Z`}
        />
      ))}
      {chain.links.map(({ id, joint, centre, on }) => {
        const [cx, cy] = at(centre);
        const carrier = chain.links.find((each) => each.id === on);
        const from = joint === null ? carrier?.centre : joint.at;
        const ends = chain.links.filter((each) => each.on === id && each.joint !== null);
        return (
          <Fragment key={id}>
            {from && (
              <line
                className={joint === null ? "chain-fast" : "chain-link"}
                x1={at(from)[0]}
                y1={at(from)[1]}
                x2={cx}
                y2={cy}
              />
            )}
            {ends.map((end) => (
              <line
                key={end.id}
                className="chain-link"
                x1={cx}
                y1={cy}
                x2={at(end.joint?.at ?? centre)[0]}
                y2={at(end.joint?.at ?? centre)[1]}
              />
            ))}
          </Fragment>
        );
      })}
      {chain.links.map(({ id, centre, massGrams }) => {
        const [x, y] = at(centre);
        return massGrams === null || massGrams === 0 ? null : (
          <rect key={id} className="chain-weight" x={x - 3} y={y - 3} width={6} height={6} />
        );
      })}
      {loads.map(({ linkId, momentNmm, sense, jointName }) => {
        const joint = chain.links.find(({ id }) => id === linkId)?.joint;
        if (!joint || !joint.at.every(Number.isFinite)) return null;
        const [x, y] = at(joint.at);
        const radius = 9 + 15 * Math.sqrt((momentNmm?.value ?? 0) / most);
        const isChosen = linkId === chosen;
        const place = labelled.indexOf(linkId);
        const above = place % 2 === labelled.indexOf(chosen ?? "") % 2;
        const labelY = above ? Math.max(26, y - radius - 16) : Math.min(HEIGHT - 8, y + radius + 16);
        return (
          <g
            key={linkId}
            className={isChosen ? "chain-joint chosen" : place >= 0 ? "chain-joint" : "chain-joint other"}
          >
            <circle cx={x} cy={y} r={4} />
            {momentNmm !== null && momentNmm.value > 0.005 * most && <path d={turnPath(x, y, radius, sense)} />}
            {place >= 0 && (
              <>
                <text x={Math.min(WIDTH - 60, Math.max(60, x))} y={labelY} textAnchor="middle">
                  {jointName}
                </text>
                <text
                  className="chain-moment"
                  x={Math.min(WIDTH - 60, Math.max(60, x))}
                  y={labelY + 13}
                  textAnchor="middle"
                >
                  {momentNmm === null ? "not told" : words(momentNmm.value, "moment")}
                </text>
              </>
            )}
          </g>
        );
      })}
      {downLength > 0 && (
        <g className="chain-gravity">
          <path
            d={`M${WIDTH - 26} 18l${((26 * chain.down[0]) / downLength).toFixed(1)} ${((26 * chain.down[1]) / downLength).toFixed(1)}m-4 -6l4 6l4 -6`}
          />
          <text x={WIDTH - 36} y={24} textAnchor="end">
            gravity
          </text>
        </g>
      )}
    </svg>
  );
}
