import type { Polygon } from "./mask.ts";

/** Convex hull of points, without those on its sides (Andrew's monotone chain, 1979). */
export function convexHull(points: readonly (readonly [number, number])[]): Polygon {
  const sorted = points.toSorted((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (list: typeof sorted): (readonly [number, number])[] => {
    const chain: (readonly [number, number])[] = [];
    for (const p of list) {
      for (;;) {
        const [a, b] = [chain.at(-2), chain.at(-1)];
        if (a === undefined || b === undefined) break;
        if ((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) > 0) break;
        chain.pop();
      }
      chain.push(p);
    }
    chain.pop();
    return chain;
  };
  return [...half(sorted), ...half(sorted.toReversed())];
}
