import type { Flag } from "../../model/index.ts";
import { type Strip, stripOfFlag } from "../strips/strips.ts";
import { session } from "./session.ts";
import { view } from "./view.ts";

// What can be done to the view: go to a frame, choose a part or a flag.

/** Frames that can be shown: the report's, or those of the folder while nothing is measured yet. */
export function framesNow(): readonly number[] {
  const { strips, files } = session.get();
  if (files && (!strips || files.size > strips.frames.length)) return [...files.keys()].sort((a, b) => a - b);
  return strips?.frames ?? [];
}

export function goTo(frame: number): void {
  const frames = framesNow();
  if (frames.length === 0) return;
  const nearest = frames.reduce((best, each) => (Math.abs(each - frame) < Math.abs(best - frame) ? each : best));
  view.set({ frame: nearest });
}

export function step(by: number): void {
  const frames = framesNow();
  if (frames.length === 0) return;
  const at = frames.indexOf(view.get().frame);
  view.set({ frame: frames[Math.min(frames.length - 1, Math.max(0, at + by))]! });
}

export function goToFlag(flag: Flag): void {
  view.set({ flag: flag.id, strip: stripOfFlag(flag), playing: false });
  goTo(flag.to);
}

export function nextFlag(by: 1 | -1): void {
  const flags = session.get().strips?.flags ?? [];
  if (flags.length === 0) return;
  const at = flags.findIndex((flag) => flag.id === view.get().flag);
  goToFlag(flags[at === -1 ? (by === 1 ? 0 : flags.length - 1) : (at + by + flags.length) % flags.length]!);
}

/** Chooses a strip, and the flag on it that is nearest to the frame; choosing it again lets go. */
export function choose(id: string | null): void {
  const strip = session.get().strips?.strips.find((each) => each.id === id) ?? null;
  if (strip === null || view.get().strip === id) {
    view.set({ strip: null, flag: null });
    return;
  }
  view.set({ strip: strip.id, flag: flagOf(strip)?.id ?? null });
}

function flagOf(strip: Strip): Flag | null {
  const all = session.get().strips?.flags ?? [];
  return strip.flags[0] ?? all.find((flag) => flag.carries.includes(strip.id)) ?? null;
}

export function nextStrip(by: 1 | -1): void {
  const strips = session.get().strips?.strips ?? [];
  if (strips.length === 0) return;
  const at = strips.findIndex((strip) => strip.id === view.get().strip);
  const next = strips[at === -1 ? (by === 1 ? 0 : strips.length - 1) : (at + by + strips.length) % strips.length]!;
  view.set({ strip: next.id, flag: flagOf(next)?.id ?? null });
}

/** The frame that flip, laid over, difference and arrows compare with: the one that was picked, else the anchor. */
export const otherNow = (): number | null => view.get().against ?? anchorNow();

/** The anchor of the chosen part at the frame that is up, else the first frame. */
export function anchorNow(): number | null {
  const { strips } = session.get();
  const { strip, frame } = view.get();
  const first = framesNow()[0] ?? null;
  if (!strips) return first;
  const anchor = strips.strips.find((each) => each.id === strip)?.anchor[strips.indexOf.get(frame) ?? -1];
  return anchor !== undefined && anchor >= 0 ? anchor : first;
}
