import { boundsOf, centroidOf } from "../../model/index.ts";
import type { ReportPart } from "../../model/index.ts";
import { startCarry } from "../parts/carry-drag.ts";
import { choose } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { puppetName } from "../strips/groups.ts";
import type { Strips } from "../strips/strips.ts";

export interface FigureFit {
  readonly scale: number;
  readonly left: number;
  readonly top: number;
}

/** Room around the figure; more on the right, where the leader lines turn. */
const LEFT = 20;
const RIGHT = 52;
const TOP = 42;
const BOTTOM = 52;

/** Parts that the figure draws: the puppets, and what rides on them. Without puppets all there is. */
export function figureParts(parts: readonly ReportPart[], strips: Strips): readonly ReportPart[] {
  const carrierOf = new Map(strips.strips.map((strip) => [strip.id, strip.part?.carrier ?? null]));
  const isPuppets = (id: string | null, depth = 0): boolean => {
    const part = parts.find((each) => each.id === id);
    if (!part || depth > parts.length) return false;
    return part.puppet !== null || isPuppets(carrierOf.get(part.id) ?? null, depth + 1);
  };
  const drawn = parts.filter((part) => isPuppets(part.id));
  return drawn.length > 0 ? drawn : parts;
}

export function fitFigure(parts: readonly ReportPart[], width: number, height: number): FigureFit {
  const [left, top, right, bottom] = boundsOf(parts.flatMap((part) => part.outline));
  const scale = Math.min(
    (width - LEFT - RIGHT) / Math.max(1, right - left),
    (height - TOP - BOTTOM) / Math.max(1, bottom - top),
  );
  return {
    scale,
    left: LEFT + (width - LEFT - RIGHT - (right - left) * scale) / 2 - left * scale,
    top: TOP + (height - TOP - BOTTOM - (bottom - top) * scale) / 2 - top * scale,
  };
}

/** Where a part's leader line begins, in the figure's px. */
export function leaderStart(part: ReportPart, fit: FigureFit): readonly [number, number] {
  const [x, y] = centroidOf({ points: part.outline, holes: [] });
  return [fit.left + x * fit.scale, fit.top + y * fit.scale];
}

/** How strongly a part is tinted: not at all within a third of its band, fully at three times its band. */
const tint = (drift: number, band: number): number =>
  Number.isNaN(drift) ? 0 : Math.min(1, Math.max(0, (Math.abs(drift) / band - 0.33) / 2.67));

/** The shot's own puppet, drawn large from its outlines: the index of the strips. */
export function Figure({
  strips,
  width,
  height,
}: {
  readonly strips: Strips;
  readonly width: number;
  readonly height: number;
}) {
  const frame = useStore(view, (value) => value.frame);
  const over = useStore(view, (value) => value.over);
  const chosen = useStore(view, (value) => value.strip);
  const report = useStore(session, (value) => value.report);
  if (!report || report.parts.length === 0) return null;
  const parts = figureParts(report.parts, strips);
  const fit = fitFigure(parts, width, height);
  const index = strips.indexOf.get(frame) ?? -1;
  const drawn = parts
    .map((part) => ({ part, strip: strips.strips.find((each) => each.id === part.id) }))
    .toSorted(
      (a, b) => Number(a.part.id === chosen || a.part.id === over) - Number(b.part.id === chosen || b.part.id === over),
    );
  const puppets = [...new Set(parts.flatMap(({ puppet, copy }) => (puppet === null ? [] : puppetName(puppet, copy))))];
  return (
    <figure className="figure">
      <svg width={width} height={height} aria-hidden="true" onPointerLeave={() => view.set({ over: null })}>
        <g transform={`translate(${fit.left} ${fit.top}) scale(${fit.scale})`}>
          {drawn.map(({ part, strip }) => {
            const beyond = strip ? tint(strip.value[index] ?? Number.NaN, strip.band) : 0;
            const drifts = strips.flags.some(
              (flag) =>
                (flag.part === part.id || flag.carries.includes(part.id)) && flag.from <= frame && frame <= flag.to,
            );
            const lit = part.id === over || part.id === chosen;
            const points = part.outline.map((point) => point.join(",")).join(" ");
            return (
              <g
                key={part.id}
                className={`figure-part${drifts ? " drifts" : ""}${lit ? " lit" : ""}`}
                onPointerEnter={() => view.set({ over: part.id })}
                data-part={part.id}
                onPointerDown={(event) => startCarry(event, part.id)}
                onClick={() => choose(part.id)}
              >
                <polygon className="figure-ground" points={points} />
                <polygon className="figure-tint" points={points} fillOpacity={0.75 * beyond} />
                <polygon className="figure-edge" points={points} vectorEffect="non-scaling-stroke" />
              </g>
            );
          })}
        </g>
      </svg>
      <figcaption>
        <span className="figure-name">{puppets.length > 0 ? puppets.join("; ") : "Parts"}</span>
        <span>drift at frame {frame}</span>
      </figcaption>
    </figure>
  );
}
