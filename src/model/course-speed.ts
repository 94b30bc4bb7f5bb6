/** A place of a drift on its course: how far it had gone by a frame, px, and 1 sigma where that is known. */
interface CoursePoint {
  readonly frame: number;
  readonly px: number;
  readonly sigma: number | null;
}

/**
 * How fast a drift went along its course, px a minute: the slope of a line by least squares, weighted by the sigmas where
 * all are known. Its 1 sigma is the larger of what the points' own sigmas and their scatter about the line make of it.
 * Null with fewer than two points, without capture times, or where all were taken at once.
 *
 * @param minuteOf capture time of a frame, minutes from any zero; NaN where not known
 */
export function courseSpeed(
  course: readonly CoursePoint[],
  minuteOf: (frame: number) => number,
): { readonly perMinute: number; readonly sigma: number } | null {
  const points = course
    .map(({ frame, px, sigma }) => ({ t: minuteOf(frame), px, sigma: sigma ?? 0 }))
    .filter(({ t }) => Number.isFinite(t));
  const areWeighed = points.every(({ sigma }) => sigma > 0);
  const weightOf = (sigma: number) => (areWeighed ? 1 / (sigma * sigma) : 1);
  const total = points.reduce((sum, { sigma }) => sum + weightOf(sigma), 0);
  const mean = (pick: (point: (typeof points)[number]) => number) =>
    points.reduce((sum, point) => sum + weightOf(point.sigma) * pick(point), 0) / total;
  const [middle, height] = [mean(({ t }) => t), mean(({ px }) => px)];
  const spread = points.reduce((sum, { t, sigma }) => sum + weightOf(sigma) * (t - middle) ** 2, 0);
  if (points.length < 2 || !(spread > 0)) return null;
  const slope =
    points.reduce((sum, { t, px, sigma }) => sum + weightOf(sigma) * (t - middle) * (px - height), 0) / spread;
  const misfit = points.reduce(
    (sum, { t, px, sigma }) => sum + weightOf(sigma) * (px - height - slope * (t - middle)) ** 2,
    0,
  );
  const scatter = points.length > 2 ? Math.sqrt(misfit / (points.length - 2) / spread) : 0;
  const own = areWeighed ? Math.sqrt(1 / spread) : 0;
  return { perMinute: Math.abs(slope), sigma: Math.max(own, scatter) };
}
