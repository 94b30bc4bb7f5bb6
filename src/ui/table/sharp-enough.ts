/** Widths, px, at which frames are decoded: few, so that a little zooming needs no new picture. */
const widths = [960, 1440, 2160, 3240, 4860, 7290, 10_935];

/** The width that is sharp enough for a frame drawn at `scale` screen px (CSS) to a px, and not more than it has. */
export function sharpEnough(frameWidth: number, scale: number): number {
  const wanted = frameWidth * scale * devicePixelRatio;
  return Math.min(widths.find((each) => each >= wanted * 0.98) ?? frameWidth, frameWidth);
}
