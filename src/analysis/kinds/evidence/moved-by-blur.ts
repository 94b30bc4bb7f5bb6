import type { FocusChange } from "./focus-change.ts";
import type { SeriesEvent } from "./series-event.ts";

// A focus that is touched changes what every texture looks like. Where that is uneven or runs one way only, the place that
// fits best moves a little with it, and that is no cause of its own.

/** Sharpness is the contrast of waves this long, px. */
const WAVE = 3;
/**
 * The most that a blur moves what it blurs by, as a share of its own standard deviation: one part, and the whole set. In 30
 * rendered shots whose focus lost 26 % at once (a blur of 0.37 px) the worst of 90 parts went by 0.13 px, along its lines,
 * and the worst camera by 0.003 px.
 */
const MOST = { part: 0.5, camera: 0.05 } as const;

/** A change of the focus at once, and the blur that it stands for. */
interface Blur {
  readonly from: number;
  readonly family: SeriesEvent["family"];
  /** Standard deviation, px. */
  readonly sigma: number;
}

/** Standard deviation of the Gaussian blur that takes this share of a wave's contrast: exp(-2 (pi sigma / wave)^2) is left. */
const blurOf = (loss: number): number => (WAVE / Math.PI) * Math.sqrt(-Math.log(1 - Math.min(0.99, loss)) / 2);

/** Changes of the whole picture's focus from one frame to the next. */
export const blursOf = (focus: readonly FocusChange[]): readonly Blur[] =>
  focus
    .filter(({ family, regions }) => family !== "slow" && regions.length === 0)
    .map(({ from, family, loss }) => ({ from, family, sigma: blurOf(Math.abs(loss)) }));

/** Whether something that went so far, in px, is no more than what the focus moved it by in the same frame. */
export const isOfBlur = (
  { from, family }: { readonly from: number; readonly family: SeriesEvent["family"] },
  px: number,
  blurs: readonly Blur[],
  of: keyof typeof MOST,
): boolean => blurs.some((blur) => blur.family === family && blur.from === from && px < MOST[of] * blur.sigma);
