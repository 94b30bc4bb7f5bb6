import type { Flag } from "../model/index.ts";
import { measured, rateWords } from "./words.ts";

/** 1 sigma of a flag's size in mm, by the share that its px have; null where one of them isn't known. */
export const mmSigmaOf = ({ kind, px, mm, sigma }: Flag): number | null =>
  // The uncertainty of a light flag is one of its stops.
  kind === "light" || px === null || mm === null || sigma === null || !(px > 0) ? null : (sigma * mm) / px;

/** How large it is: "1.93 ± 0.01 px (0.460 ± 0.003 mm)", stops for light; null for what has no size. */
export const extentOf = (flag: Flag): string | null => {
  const { kind, px, mm, stops, sigma } = flag;
  if (stops !== null) return measured(stops, sigma, "stops");
  if (px === null) return null;
  const pixels = measured(px, kind === "light" ? null : sigma, "px");
  return mm === null ? pixels : `${pixels} (${measured(mm, mmSigmaOf(flag), "mm")})`;
};

/** What its sentence doesn't tell already. */
export const sizesBeside = (flag: Flag): string[] => sizesOf(flag).filter((size) => !flag.message.includes(size));

/** Size and speed of a flag, each with its uncertainty. */
export const sizesOf = (flag: Flag): string[] => {
  const speed = rateWords(flag.perMinutePx, flag.perMinuteSigma ?? null);
  return [extentOf(flag), speed].filter((size) => size !== null);
};
