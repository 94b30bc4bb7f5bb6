import {
  closest,
  type FrameScale,
  frameScale,
  SCALE_ROOM,
  type Stretch,
  wholeShot,
  within,
} from "../timeline/scale.ts";
import { createStore, useStore } from "./store.ts";

// What of the shot's length is in sight on the timeline. Canvases listen to it without React.

interface Lane extends Stretch {
  /** Frames of the shot, rising. */
  readonly frames: readonly number[];
  /** Room for the strips, px. */
  readonly width: number;
}

export const lane = createStore<Lane>({ ...wholeShot, frames: [], width: 0 });

let made: { readonly of: Lane; readonly ratio: number; readonly scale: FrameScale } | null = null;

/** The scale as it is now: the same object as long as nothing changed. */
export function scaleNow(): FrameScale {
  const of = lane.get();
  const ratio = devicePixelRatio;
  if (made?.of !== of || made.ratio !== ratio) made = { of, ratio, scale: frameScale(of.frames, of.width, of, ratio) };
  return made.scale;
}

export const useScale = (): FrameScale => useStore(lane, scaleNow);

const set = (stretch: Stretch) => {
  const { frames, width } = lane.get();
  lane.set(within(stretch, closest(frames, width)));
};

/** The strips have got other frames or another width; what was in sight stays so as far as it can. */
export function fitLane(frames: readonly number[], width: number): void {
  const before = lane.get();
  const isSameShot = before.frames[0] === frames[0] && before.frames.at(-1) === frames.at(-1);
  lane.set({ frames, width });
  set(isSameShot ? before : wholeShot);
}

const room = () => scaleNow().whole / lane.get().zoom;

/** Looks closer by a factor; what lies at `place`, px from the left of the strips, stays there. */
export function zoomLane(factor: number, place: number): void {
  const { zoom, from, frames, width } = lane.get();
  const next = Math.min(closest(frames, width), Math.max(1, zoom * factor));
  const share = Math.min(1, Math.max(0, (place - SCALE_ROOM) / room()));
  set({ zoom: next, from: from + share / zoom - share / next });
}

/** Scrolls along the frames, px. */
export const scrollLane = (by: number): void => {
  const { zoom, from } = lane.get();
  set({ zoom, from: from + by / scaleNow().whole });
};

/** Puts the left end of what is in sight to a share of the whole shot. */
export const scrollLaneTo = (from: number): void => set({ zoom: lane.get().zoom, from });

export const wholeLane = (): void => set(wholeShot);

/** Everything from one frame to another in sight, with a little room beside it. */
export function showFrames(first: number, last: number): void {
  const scale = scaleNow();
  const [left, right] = [scale.along(first) - scale.cell, scale.along(last) + scale.cell];
  const { zoom } = lane.get();
  const next = Math.max(1, (zoom * room()) / (1.1 * Math.max(1, right - left)));
  set({ zoom: next, from: (left + right) / 2 / scale.whole - 0.5 / next });
}

/** Frames that stay in sight beside the playhead. */
const BESIDE = 2;

/** Scrolls no farther than it must for a frame to be in sight; `page` puts it to the left, as when playing. */
export function keepInSight(frame: number, page = false): void {
  const { zoom } = lane.get();
  if (zoom <= 1) return;
  const scale = scaleNow();
  const margin = Math.min(BESIDE * scale.cell, room() / 4);
  const place = scale.along(frame) - scale.offset;
  if (place >= margin && place <= room() - margin) return;
  const left = page || place < 0 || place > room() ? scale.along(frame) - room() * (page ? 0.08 : 0.5) : null;
  scrollLaneTo(
    (left ?? (place < margin ? scale.along(frame) - margin : scale.along(frame) - room() + margin)) / scale.whole,
  );
}
