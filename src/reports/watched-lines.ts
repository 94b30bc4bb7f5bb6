import type { Report } from "../model/index.ts";
import { fixed, measured } from "./words.ts";

/** What still drifts within its band, a line each: who, how far, what is allowed, and what comes next. */
export const watchedLines = (report: Report): string[] =>
  (report.watched ?? []).map(({ part, px, sigma, bandPx, forecast }) => {
    const name = report.parts.find(({ id }) => id === part)?.name ?? part;
    return `${name}: ${measured(px, sigma, "px")}, ${fixed(bandPx, 2)} px allowed. ${forecast.message}`;
  });
