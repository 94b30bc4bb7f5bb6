import { type BenchHold, type BenchShot, isSeating } from "./holds.ts";
import { share, type Share, type Spread, spreadOfSteps } from "./intervals.ts";

// Face kits: how far the same piece sits off from one time it is put on to the next.

export interface SeatingRow {
  readonly key: string;
  readonly puppet: string | null;
  readonly copy: string | null;
  readonly part: string;
  readonly partName: string;
  /** The piece, "mouth-3". */
  readonly wears: string;
  readonly seatings: readonly BenchHold[];
  readonly flagged: Share;
  /** Scatter of its place, 1 sigma along each axis. */
  readonly px: Spread;
  /** Null where a shot has no scale. */
  readonly mm: Spread | null;
}

const stepOf = (size: number, [x, y]: readonly [number, number]) => ({ dx: size * x, dy: size * y });

const meanSquare = (sigmas: readonly number[]): number =>
  sigmas.reduce((sum, sigma) => sum + sigma * sigma, 0) / sigmas.length;

/** Pieces by the lower bound of their scatter, largest first. */
export const seatingRows = (shots: readonly BenchShot[]): readonly SeatingRow[] => {
  const groups = new Map<string, BenchHold[]>();
  for (const { shot, shotName, holds } of shots)
    for (const hold of holds) {
      const one: BenchHold = { shot, shotName, hold };
      if (!isSeating(one) || hold.wears === null) continue;
      const key = [hold.puppet ?? "", hold.copy ?? "", hold.part, hold.wears].join("|");
      const group = groups.get(key);
      if (group === undefined) groups.set(key, [one]);
      else group.push(one);
    }
  const rows = [...groups].flatMap(([key, seatings]): SeatingRow[] => {
    const holds = seatings.map(({ hold }) => hold);
    const [{ puppet, copy, part, name, wears }] = holds;
    const px = spreadOfSteps(
      holds.map((hold) => stepOf(hold.px, hold.direction)),
      meanSquare(holds.map(({ sigma }) => sigma)),
    );
    if (px === null || wears === null) return [];
    const scaled = holds.flatMap((hold) => (hold.mm === null ? [] : [{ ...hold, mm: hold.mm }]));
    const mm =
      scaled.length < holds.length
        ? null
        : spreadOfSteps(
            scaled.map((hold) => stepOf(hold.mm, hold.direction)),
            meanSquare(scaled.map(({ sigmaMm }) => sigmaMm ?? 0)),
          );
    const flagged = share(
      holds.filter(({ flags }) => flags.some(({ kind }) => kind === "seating")).length,
      holds.length,
    );
    return [{ key, puppet, copy, part, partName: name, wears, seatings, flagged, px, mm }];
  });
  return rows.toSorted((a, b) => b.px.low - a.px.low || b.px.value - a.px.value || (a.key < b.key ? -1 : 1));
};
