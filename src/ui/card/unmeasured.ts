import type { Strip, Strips } from "../strips/strips.ts";

export interface Unmeasured {
  readonly strip: Strip;
  /** Frames in which it is visible and holds, and has no number. */
  readonly frames: readonly number[];
  /** Frames in which it is visible and holds. */
  readonly visible: number;
  readonly reason: string;
}

/** A part counts as not measured where it has no number in more than this share of the frames in which it is visible. */
const SHARE = 0.1;

const isBlind = (ground: string) => ground === "moves" || ground === "hidden";

export function unmeasuredOf({ strips, frames }: Strips): readonly Unmeasured[] {
  return strips.flatMap((strip) => {
    if (strip.kind === "light") return [];
    const visible = frames.filter((_, i) => !isBlind(strip.ground[i]));
    const missing = frames.filter((_, i) => !isBlind(strip.ground[i]) && Number.isNaN(strip.value[i]));
    if (missing.length === 0 || missing.length <= SHARE * visible.length) return [];
    const why = strip.why[frames.indexOf(missing[0])];
    return [{ strip, frames: missing, visible: visible.length, reason: why }];
  });
}
