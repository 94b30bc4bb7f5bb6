// Which sizes of a drift are tried, px of the original frame: one that can't be missed, a ladder below it, and then
// places between the largest that was not seen and the smallest that was.

/** The drift that has to come back: this many bands, and at least so many px. */
const BANDS = 3;
const LEAST_PX = 1;
const LADDER = [0.02, 0.05, 0.1, 0.2, 0.5] as const;
const PLACES_BETWEEN = 3;
/** Below the ladder's lowest rung the places are even ones. */
const BELOW_ALL = [0.25, 0.5, 0.75] as const;

export const fullSize = (bandPx: number): number => Math.max(BANDS * bandPx, LEAST_PX);

export const firstSizes = (full: number): number[] => [...LADDER.filter((size) => size < full), full];

/** A size and whether it was flagged with the band opened. */
export interface Tried {
  readonly px: number;
  readonly flagged: boolean;
}

/**
 * The smallest size from which on all larger ones were flagged, and the largest one below it, which was not.
 * @returns null where the largest one was not flagged
 */
export function edgeOf(tried: readonly Tried[]): { readonly seen: number; readonly notSeen: number | null } | null {
  const rising = tried.toSorted((a, b) => a.px - b.px);
  const missed = rising.findLastIndex(({ flagged }) => !flagged);
  if (missed === rising.length - 1) return null;
  return { seen: rising[missed + 1].px, notSeen: missed < 0 ? null : rising[missed].px };
}

/** Sizes to try next, to find the edge more closely. */
export function sizesBetween(tried: readonly Tried[]): number[] {
  const edge = edgeOf(tried);
  if (edge === null) return [];
  const { seen, notSeen } = edge;
  if (notSeen === null) return BELOW_ALL.map((share) => share * seen);
  return Array.from(
    { length: PLACES_BETWEEN },
    (_, k) => notSeen * (seen / notSeen) ** ((k + 1) / (PLACES_BETWEEN + 1)),
  );
}
