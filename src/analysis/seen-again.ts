import type { HeldRow } from "./hold-rows.ts";

// A held part that was not found in some frames, and whether it was covered there. Pictures alone can't tell: of a part
// that is covered and of one that was taken away nothing is seen. The frames around them can: it was seen going behind
// something or coming out again, and is then where it was before.

/** A part that shows less of itself than this in a frame is partly covered there. */
const WHOLE = 0.85;
/** It is where it was: px, and sigmas of the difference. The drift that a hold is allowed by default. */
const SAME_PLACE = 0.3;
const SAME_SIGMAS = 3;

const isMeasured = (row: HeldRow | undefined): row is HeldRow => row !== undefined && Number.isFinite(row.dx);
/** Lost by its own pixels, and not for want of a camera. */
const isUnfound = (row: HeldRow): boolean => row.state === "lost" && !Number.isFinite(row.rawDx);
const isPartly = ({ shown }: HeldRow): boolean => (shown ?? 1) < WHOLE;

function isSamePlace(a: HeldRow, b: HeldRow): boolean {
  const sigma = Math.sqrt(a.covariance[0] + a.covariance[3] + b.covariance[0] + b.covariance[3]);
  return Math.hypot(b.dx - a.dx, b.dy - a.dy) < Math.max(SAME_PLACE, SAME_SIGMAS * sigma);
}

/**
 * Rows of a hold, those in which the part was covered told as hidden.
 * @param rows in the order of frames; what is lost after the last frame that shows the part stays lost
 */
export function coveredRows(rows: readonly HeldRow[]): HeldRow[] {
  const out = rows.slice();
  for (let from = 0; from < rows.length; from++) {
    if (!isUnfound(rows[from])) continue;
    let to = from;
    while (to < rows.length && isUnfound(rows[to])) to++;
    const [before, after] = [rows[from - 1], rows[to]];
    if (
      isMeasured(before) &&
      isMeasured(after) &&
      (isPartly(before) || isPartly(after)) &&
      isSamePlace(before, after)
    ) {
      const reason = `covered: in frame ${after.frame} it is seen again where it was in frame ${before.frame}`;
      for (let i = from; i < to; i++) out[i] = { ...rows[i], state: "hidden", reason };
    }
    from = to;
  }
  return out;
}
