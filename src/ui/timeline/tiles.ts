import { type Colours, colours } from "../look/colours.ts";
import type { Strip } from "../strips/strips.ts";
import { paintPiece } from "./paint-strip.ts";
import type { FrameScale } from "./scale.ts";

/** Width of a tile, px: a whole number of the hatching's repeats. */
const TILE = 512;
/** New tiles in one drawing at most: what is missing is painted straight away, and becomes a tile in a later one. */
const NEW_TILES = 6;
/** Pixels of all tiles together at most: 32 MB. */
const MOST_PIXELS = 8e6;

type Paper = CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D;

interface Tile {
  readonly canvas: OffscreenCanvas;
}

/** Painted pieces of the strips: scrolling copies them, and paints only what comes into sight. */
export interface Tiles {
  /** Before a drawing. While one zooms nothing is kept: no piece would be used twice. */
  begin(scale: FrameScale): void;
  /** Puts what is in sight of a strip onto a canvas, between `left` and `right`. */
  draw(
    context: CanvasRenderingContext2D,
    strip: Strip,
    look: { readonly lit: boolean; readonly carried: boolean },
    scale: FrameScale,
    place: { readonly top: number; readonly height: number; readonly left: number; readonly right: number },
  ): void;
}

export function createTiles(): Tiles {
  const kept = new Map<string, Tile>();
  /** Ids of strips, since another check makes other strips of the same names. */
  const ids = new WeakMap<Strip, number>();
  let nextId = 0;
  let pixels = 0;
  let ink: Colours | null = null;
  let cell = 0;
  let mayMake = 0;

  const idOf = (strip: Strip) => {
    const known = ids.get(strip);
    if (known !== undefined) return known;
    nextId += 1;
    ids.set(strip, nextId);
    return nextId;
  };

  const drop = (key: string, tile: Tile) => {
    pixels -= tile.canvas.width * tile.canvas.height;
    kept.delete(key);
  };

  return {
    begin(scale) {
      mayMake = scale.cell === cell ? NEW_TILES : 0;
      cell = scale.cell;
    },
    draw(context, strip, { lit, carried }, scale, { top, height, left, right }) {
      const ratio = devicePixelRatio;
      if (ink !== colours()) {
        ink = colours();
        for (const [key, tile] of kept) drop(key, tile);
      }
      const now = ink;
      // On whole screen px, or copying would blur it.
      const whole = (value: number) => Math.round(value * ratio) / ratio;
      const scrolled = whole(left - scale.offset);
      const first = Math.floor(scale.offset / TILE);
      const last = Math.floor((scale.offset + right - left - 0.01) / TILE);
      const paint = (paper: Paper, from: number, to: number) =>
        paintPiece(
          paper,
          { strip, x: scale.along, cell: scale.cell, left: from, right: to, height, lit, carried },
          now,
        );
      /** Ends of a stretch without tiles, which is painted in one go. */
      let bare: { readonly from: number; to: number } | null = null;
      const paintBare = () => {
        if (bare === null) return;
        context.save();
        context.translate(scrolled, whole(top));
        context.beginPath();
        context.rect(bare.from, 0, bare.to - bare.from, height);
        context.clip();
        paint(context, bare.from, bare.to);
        context.restore();
        bare = null;
      };
      for (let k = first; k <= last; k++) {
        const key = `${idOf(strip)} ${scale.cell} ${height} ${ratio} ${lit ? 1 : 0}${carried ? 1 : 0} ${k}`;
        let tile = kept.get(key);
        if (tile) kept.delete(key);
        else if (mayMake > 0) {
          mayMake -= 1;
          const canvas = new OffscreenCanvas(Math.round(TILE * ratio), Math.round(height * ratio));
          const paper = canvas.getContext("2d");
          if (!paper) return;
          paper.setTransform(ratio, 0, 0, ratio, -k * TILE * ratio, 0);
          paint(paper, k * TILE, (k + 1) * TILE);
          tile = { canvas };
          pixels += canvas.width * canvas.height;
        } else {
          const from = Math.max(k * TILE, scale.offset);
          const to = Math.min((k + 1) * TILE, scale.offset + right - left);
          if (bare === null) bare = { from, to };
          else bare.to = to;
          continue;
        }
        paintBare();
        // Behind all others: the first ones are the longest unused.
        kept.set(key, tile);
        context.drawImage(tile.canvas, scrolled + k * TILE, whole(top), TILE, tile.canvas.height / ratio);
      }
      paintBare();
      for (const [key, tile] of kept) {
        if (pixels <= MOST_PIXELS) break;
        drop(key, tile);
      }
    },
  };
}
