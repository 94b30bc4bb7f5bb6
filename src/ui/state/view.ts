import { createStore } from "./store.ts";

export const pictureViews = ["plain", "flip", "over", "difference", "arrows"] as const;
export type PictureView = (typeof pictureViews)[number];

/** Where in the picture one looks: `scale` 1 fits the whole frame; `x`, `y` is the middle, as shares of the frame. */
export interface Look {
  readonly scale: number;
  readonly x: number;
  readonly y: number;
}

export const wholeFrame: Look = { scale: 1, x: 0.5, y: 0.5 };

interface View {
  readonly frame: number;
  readonly picture: PictureView;
  readonly look: Look;
  readonly outlines: boolean;
  /** True where the outlines that the chosen flag's parts are eased back to are drawn. */
  readonly ghost: boolean;
  /** Strip that is chosen: a part's id, "camera" or "light". */
  readonly strip: string | null;
  readonly flag: string | null;
  /** Strip under the pointer, on whichever of figure, strips and table it is. */
  readonly over: string | null;
  /** Where the pointer reads a strip. */
  readonly reading: { readonly strip: string; readonly frame: number } | null;
  readonly playing: boolean;
  /** Frames that playing goes round in, both included; null: the whole shot. */
  readonly range: { readonly from: number; readonly to: number } | null;
  /** In the flip view: true while the anchor is up. */
  readonly flipped: boolean;
  /** In the flip view: true where the alternation was stopped by hand. */
  readonly flipHeld: boolean;
  readonly gain: number;
  readonly dialog: "keys" | "search" | "shots" | null;
}

/** What is looked at. None of it is kept or saved. */
export const view = createStore<View>({
  frame: 1,
  picture: "plain",
  look: wholeFrame,
  outlines: true,
  ghost: false,
  strip: null,
  flag: null,
  over: null,
  reading: null,
  playing: false,
  range: null,
  flipped: false,
  flipHeld: false,
  gain: 8,
  dialog: null,
});

export const gains = [2, 4, 8, 16, 32] as const;
