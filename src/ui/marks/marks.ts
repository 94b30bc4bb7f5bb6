import type { FlagKind } from "../../model/index.ts";

/** Size of the drawings below. */
export const MARK_WIDTH = 22;
export const MARK_HEIGHT = 14;

/** A mark is a small drawing of the trace that its kind leaves: nobody has to learn a code. Down is down. */
export const markPaths: Readonly<Record<FlagKind, string>> = {
  sag: "M2 3.5 H6 C11 3.5 13 10.5 20 10.5",
  "spring-back": "M2 10.5 H6 C11 10.5 13 3.5 20 3.5",
  crawl: "M2 3 q2 4.5 4.5 2.5 t4.5 2.5 t4.5 2.5 t4.5 0.5",
  boil: "M2 7 L3.8 3 L5.6 11 L7.4 3 L9.2 11 L11 3 L12.8 11 L14.6 3 L16.4 11 L18.2 3 L20 7",
  "skin-shift": "M2 11.5 H8 V7 H20 M2 7 H5.5 M8 7 V2.5 H20",
  knock: "M2 10.5 H10 V3.5 H20",
  pop: "M2 10.5 H9 L11 2.5 L13 10.5 H20",
  // The step of the whole frame: the frame stands around it.
  "camera-shift": "M1.5 1 H20.5 V13 H1.5 Z M5 9.5 H11 V4.5 H17",
  "set-shift": "M2 8.5 H10 V2.5 H20",
  seating: "M2 10.5 H6 M8 3.5 H13 M15 9 H20",
  soft: "M2 3.5 C8 3.5 8 10.5 11 10.5 S14 3.5 20 3.5",
  light: "M2 4 H9 L11 11.5 L13 4 H20",
  stray: "M8 7 a3 3 0 1 0 6 0 a3 3 0 1 0 -6 0 M2 7 H5 M17 7 H20",
  repeat: "M2 9.5 H8 M8 4.5 H14 M8 9.5 H14 M14 9.5 H20",
};

/** What stands still in a drawing, whichever way its trace goes: the table under what stands on it. */
export const markGrounds: Readonly<Partial<Record<FlagKind, string>>> = { "set-shift": "M2 12.5 H20" };

/** Kinds whose drawing goes up; their traces go either way. */
export const upright: ReadonlySet<FlagKind> = new Set(["knock", "pop", "camera-shift", "set-shift", "skin-shift"]);
