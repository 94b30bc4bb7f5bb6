import { createStore } from "./store.ts";

export const pictureViews = ["plain", "flip", "over", "difference", "arrows", "exaggerate", "held"] as const;
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
  /** The frame that the picture is compared with; null: the anchor. */
  readonly against: number | null;
  /** True while a key shows the frame that is compared with, whatever the view. */
  readonly peek: boolean;
  /** In the difference: true where the camera's own motion is taken out. */
  readonly steady: boolean;
  /** True where the flagged part is shown large beside the picture. */
  readonly closeUp: boolean;
  /** In the close-up: true where the part's own motion is taken out. */
  readonly closeUpStill: boolean;
  /** Frames a second that are played; null: the shot's own. */
  readonly rate: number | null;
  /** In the exaggerated view: how many times as large drift is drawn. */
  readonly times: number;
  /** In the view that holds still: true where the original is beside it. */
  readonly beside: boolean;
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
  against: null,
  peek: false,
  steady: true,
  closeUp: false,
  closeUpStill: false,
  rate: null,
  times: 10,
  beside: false,
  dialog: null,
});

export const gains = [2, 4, 8, 16, 32] as const;
export const exaggerations = [5, 10, 20, 30, 50] as const;
export const rates = [12, 24, 25, 30] as const;
