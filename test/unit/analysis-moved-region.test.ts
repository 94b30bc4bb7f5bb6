import { expect, test } from "vitest";
import { type MovedRegion, movedRegion, type NodeContrast } from "../../src/analysis/moved-region.ts";
import { createRandom } from "../support/random.ts";

// Nodes of a lattice of 8 px, of which a square went along and the rest stood still.

const layout = { cols: 30, rows: 26, originX: 12.5, originY: 12.5, step: 8 };
/** Columns and rows of the square: 10 by 10 nodes. */
const isIn = (c: number, r: number): boolean => c >= 10 && c < 20 && r >= 8 && r < 18;
const way = [0.08, 0.06] as const;
/** One more row of nodes all around, as a share of the square. */
const ONE_ROW = 0.44;
/** The upper edge of the square alone, with as much still ground: what cells hint at. */
const hint = [
  [80, 56],
  [180, 56],
  [180, 96],
  [80, 96],
] as const;

interface Look {
  readonly seed: number;
  readonly inside: number;
  readonly outside: number;
  /** Nothing is told along this direction inside the square. */
  readonly lines?: readonly [number, number];
  readonly moves?: boolean;
}

function contrastsOf({ seed, inside, outside, lines, moves = true }: Look): NodeContrast[] {
  const random = createRandom(seed, 0x6d72);
  return Array.from({ length: layout.cols * layout.rows }, (_, i) => {
    const [c, r] = [i % layout.cols, Math.floor(i / layout.cols)];
    const own = isIn(c, r);
    const sigma = own ? inside : outside;
    const told = 1 / sigma ** 2;
    const [nx, ny] = own && lines !== undefined ? [-lines[1], lines[0]] : [1, 1];
    const across = own && lines !== undefined;
    return {
      x: layout.originX + 8 * c,
      y: layout.originY + 8 * r,
      dx: (own && moves ? way[0] : 0) + sigma * random.normal(),
      dy: (own && moves ? way[1] : 0) + sigma * random.normal(),
      xx: across ? told * nx * nx : told,
      xy: across ? told * nx * ny : 0,
      yy: across ? told * ny * ny : told,
    };
  });
}

function agreement(region: MovedRegion | null): { readonly found: number; readonly beyond: number } {
  const nodes = region?.nodes ?? [];
  const own = nodes.filter((node) => isIn(node % layout.cols, Math.floor(node / layout.cols))).length;
  return { found: own / 100, beyond: (nodes.length - own) / 100 };
}

test("from one edge the whole of a thing is found, and little beyond it", () => {
  for (let seed = 1; seed <= 20; seed++) {
    const { found, beyond } = agreement(
      movedRegion(contrastsOf({ seed, inside: 0.02, outside: 0.02 }), layout, hint, way),
    );
    expect(found).toBeGreaterThan(0.95);
    expect(beyond).toBeLessThan(ONE_ROW);
  }
});

test("a thing that shows lines alone is found by what they tell across", () => {
  for (let seed = 1; seed <= 20; seed++) {
    const contrasts = contrastsOf({ seed, inside: 0.02, outside: 0.02, lines: [0, 1] });
    const { found, beyond } = agreement(movedRegion(contrasts, layout, hint, way));
    expect(found).toBeGreaterThan(0.95);
    expect(beyond).toBeLessThan(ONE_ROW);
  }
});

test("of a faint texture, each node of which is as uncertain as the way is long, at least half is found", () => {
  for (let seed = 1; seed <= 20; seed++) {
    const { found, beyond } = agreement(
      movedRegion(contrastsOf({ seed, inside: 0.1, outside: 0.02 }), layout, hint, way),
    );
    expect(found).toBeGreaterThan(0.5);
    expect(beyond).toBeLessThan(ONE_ROW);
  }
});

test("where nothing moved there is no region to speak of", () => {
  for (let seed = 1; seed <= 20; seed++) {
    const contrasts = contrastsOf({ seed, inside: 0.02, outside: 0.02, moves: false });
    expect(movedRegion(contrasts, layout, hint, way)).toBeNull();
  }
});

test("a place without nodes belongs to what encloses it", () => {
  const contrasts: (NodeContrast | null)[] = contrastsOf({ seed: 3, inside: 0.02, outside: 0.02 });
  for (const r of [12, 13]) for (const c of [14, 15]) contrasts[r * layout.cols + c] = null;
  const region = movedRegion(contrasts, layout, hint, way)!;
  expect(region.nodes).toContain(12 * layout.cols + 14);
  expect(region.nodes).toContain(13 * layout.cols + 15);
});
