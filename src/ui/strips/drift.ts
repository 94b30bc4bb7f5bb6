import { centroidOf } from "../../model/geometry.ts";
import { displacementOf, farthestOf, type Flag, type ReportPart, sigmaOf, type Track } from "../../model/index.ts";

export type Point = readonly [number, number];

/** Drift of one part as one number a frame: px along `direction`, of the point `at` of its outline. */
export interface Drift {
  readonly value: Float64Array;
  /** 1 sigma, px. */
  readonly sigma: Float64Array;
  /** Unit vector in the picture along which the value counts. */
  readonly direction: Point;
  /** The point that is told of, px, where it lies at the anchor: the one of the part's own outline that moved most. */
  readonly at: Point;
}

/** What a flag's px is told of: the point, of all that drifted together, that moved most. */
export interface FarDrift extends Drift {
  readonly flag: Flag;
  /** The part on which the point lies. */
  readonly part: string;
  readonly name: string;
}

type Outlined = Pick<ReportPart, "id" | "name" | "outline">;

/** A part, and the tracks in the order of frames that tell how it moved. */
interface Surface {
  readonly part: Outlined;
  readonly rows: readonly Track[];
}

const middleOf = (part: Pick<ReportPart, "outline">): Point => centroidOf({ points: part.outline, holes: [] });

function along(
  rows: readonly Track[],
  at: Point,
  centre: Point,
  by: Point,
  indexOf: ReadonlyMap<number, number>,
): Drift {
  const length = Math.hypot(...by);
  const direction: Point = length > 0 ? [by[0] / length, by[1] / length] : [0, 1];
  const value = new Float64Array(indexOf.size).fill(Number.NaN);
  const sigma = new Float64Array(indexOf.size).fill(Number.NaN);
  for (const row of rows) {
    const index = indexOf.get(row.frame);
    const moved = displacementOf(row, at, centre);
    if (index === undefined || moved === null) continue;
    value[index] = moved[0] * direction[0] + moved[1] * direction[1];
    sigma[index] = sigmaOf(row, at, centre, direction);
  }
  return { value, sigma, direction, at };
}

const hasNumber = (row: Track) => row.dx !== null && row.dy !== null;

/** The last row of a flag's frames that has a number. */
const rowOfFlag = (rows: readonly Track[], flag: Flag) =>
  rows.findLast((row) => hasNumber(row) && row.frame >= flag.from && row.frame <= flag.to) ?? null;

/**
 * What a part itself did, at the point of its own outline that moved most.
 *
 * @param rows tracks of the part, in the order of frames
 * @param flag the finding at whose last frame the point is chosen; null: at the frame of the largest displacement
 */
export function driftOf(
  part: Pick<ReportPart, "outline">,
  rows: readonly Track[],
  flag: Flag | null,
  indexOf: ReadonlyMap<number, number>,
): Drift {
  const centre = middleOf(part);
  const sizeOf = (row: Track) => Math.hypot(...farthestOf(row, part.outline, centre).by);
  const row =
    (flag && rowOfFlag(rows, flag)) ??
    rows.filter(hasNumber).reduce<Track | null>((most, each) => {
      return most === null || sizeOf(each) > sizeOf(most) ? each : most;
    }, null);
  const { at, by } = row === null ? { at: centre, by: [0, 0] as Point } : farthestOf(row, part.outline, centre);
  return along(rows, at, centre, by, indexOf);
}

/** Own tracks tell a flag's px unless they miss it by more than this share of it. */
const TOLD = 0.1;

/** The flag's own course where the report has it: its carrier's motion and all that else happened taken out. */
function courseOf(
  { course, direction }: Flag,
  indexOf: ReadonlyMap<number, number>,
): Partial<Pick<Drift, "value" | "sigma" | "direction">> {
  if (course === undefined || direction === null) return {};
  const value = new Float64Array(indexOf.size).fill(Number.NaN);
  const sigma = new Float64Array(indexOf.size).fill(Number.NaN);
  for (const { frame, px, sigma: own } of course) {
    const index = indexOf.get(frame);
    if (index === undefined || px === null) continue;
    value[index] = px;
    sigma[index] = own ?? Number.NaN;
  }
  return { value, sigma, direction };
}

/**
 * The drift that a flag's px is told of: the largest over the part and all it carries, each by its own track. Where
 * what is carried did something of its own besides, or rides, its carrier's track tells what the flag's own share is.
 *
 * @param carried parts that the flag carries; `rows` empty for those whose own tracks are told against their carrier
 */
export function farDriftOf(
  flag: Flag,
  own: Surface,
  carried: readonly Surface[],
  indexOf: ReadonlyMap<number, number>,
): FarDrift | null {
  const candidate = (part: Outlined, by: Surface) => {
    const row = rowOfFlag(by.rows, flag);
    const centre = middleOf(by.part);
    return row === null ? [] : [{ part, centre, rows: by.rows, ...farthestOf(row, part.outline, centre) }];
  };
  const most = (list: ReturnType<typeof candidate>) =>
    list.toSorted((a, b) => Math.hypot(...b.by) - Math.hypot(...a.by))[0] ?? null;
  const off = (one: { readonly by: Point }) => Math.abs(Math.hypot(...one.by) - Math.abs(flag.px ?? 0));
  const measured = most([own, ...carried].flatMap((each) => candidate(each.part, each)));
  const led = most([own, ...carried].flatMap((each) => candidate(each.part, own)));
  const isTold = measured !== null && (flag.px === null || off(measured) <= TOLD * Math.abs(flag.px));
  const nearest = [measured, led].flatMap((one) => one ?? []).toSorted((a, b) => off(a) - off(b))[0] ?? null;
  const chosen = isTold ? measured : nearest;
  if (chosen === null) return null;
  const { part, rows, at, centre, by } = chosen;
  return { ...along(rows, at, centre, by, indexOf), ...courseOf(flag, indexOf), flag, part: part.id, name: part.name };
}
