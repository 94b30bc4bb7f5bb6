import { boil } from "./boil.ts";
import { cameraShift } from "./camera-shift.ts";
import { crawl } from "./crawl.ts";
import type { Band, Kind } from "./kind.ts";
import { knock } from "./knock.ts";
import { light } from "./light.ts";
import { pop } from "./pop.ts";
import { repeat } from "./repeat.ts";
import { sag } from "./sag.ts";
import { seating } from "./seating.ts";
import { setShift } from "./set-shift.ts";
import { skinShift } from "./skin-shift.ts";
import { soft } from "./soft.ts";
import { springBack } from "./spring-back.ts";
import { stray } from "./stray.ts";

/** Every kind that is judged. A new one is one file and one line here. */
export const kinds: readonly Kind[] = [
  sag,
  springBack,
  crawl,
  boil,
  skinShift,
  knock,
  pop,
  setShift,
  seating,
  cameraShift,
  light,
  soft,
  repeat,
  stray,
];

/** The drift that each kind is allowed, by key; px, or a fraction of linear light. */
export const defaultBands: Readonly<Record<string, number>> = Object.fromEntries(
  kinds.flatMap(({ bands }) => bands.map(({ key, value }) => [key, value])),
);

const keysIn = (wanted: Band["unit"]): readonly string[] =>
  kinds.flatMap(({ bands }) => bands.filter(({ unit }) => unit === wanted).map(({ key }) => key));

/** Keys of the bands that are told in px: those that one band for everything replaces. */
export const pxBandKeys = keysIn("px");
/** Keys of the bands that are told in percent. */
export const shareBandKeys = keysIn("fraction");
