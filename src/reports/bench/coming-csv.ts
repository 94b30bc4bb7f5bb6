import Papa from "papaparse";
import type { ComingShot } from "../../model/index.ts";

// Shots to come, typed line by line or from a spreadsheet.

/** A shot as it was read; ids and times are the store's. */
export type ReadShot = Pick<ComingShot, "name" | "day" | "needs" | "note">;

export interface ReadShots {
  readonly shots: readonly ReadShot[];
  /** What could not be used, each with its line. */
  readonly faults: readonly string[];
}

const columns: Readonly<Record<"name" | "day" | "needs" | "note", readonly string[]>> = {
  name: ["shot", "name", "slate"],
  day: ["day", "date", "shooting day"],
  needs: ["puppets", "needs", "puppet", "cast"],
  note: ["note", "notes", "remark"],
};

/** "oda B; bee" or "oda (B), bee": a last word of one or two capitals or digits, or one in brackets, is the copy. */
export const readNeeds = (text: string): ComingShot["needs"] =>
  text
    .split(/[;,+]/u)
    .map((part) => part.trim())
    .filter((part) => part !== "")
    .map((part) => {
      const found = /^(.*?\S)\s+(?:copy\s+)?(?:\(([^)]+)\)|([A-Z0-9]{1,2}))$/u.exec(part);
      return found === null ? { puppet: part, copy: null } : { puppet: found[1], copy: found[2] ?? found[3] };
    });

/** An ISO day, or null where the text is none. */
const readDay = (text: string): string | null => {
  if (!/^\d{4}-\d{2}-\d{2}$/u.test(text)) return null;
  const date = new Date(`${text}T00:00:00Z`);
  return Number.isFinite(date.getTime()) && date.toISOString().startsWith(text) ? text : null;
};

/**
 * Shots from CSV text with a header: shot, day (2026-03-09), puppets ("oda B; bee"), note. Without a header the columns
 * stand in that order. A line that can't be used is a fault, and the others are read.
 */
export const readComingShots = (text: string): ReadShots => {
  const parsed = Papa.parse<string[]>(text.replace(/^\ufeff/u, ""), { skipEmptyLines: "greedy" });
  const rows = parsed.data;
  const faults = parsed.errors
    .filter(({ code }) => code !== "UndetectableDelimiter")
    .map(({ message, row }) => `line ${(row ?? 0) + 1}: ${message}`);
  const head = rows[0]?.map((cell) => cell.trim().toLowerCase()) ?? [];
  const placeOf = (key: keyof typeof columns): number => head.findIndex((cell) => columns[key].includes(cell));
  const hasHead = placeOf("name") >= 0;
  const place = hasHead
    ? { name: placeOf("name"), day: placeOf("day"), needs: placeOf("needs"), note: placeOf("note") }
    : { name: 0, day: 1, needs: 2, note: 3 };
  const shots = rows.slice(hasHead ? 1 : 0).flatMap((row, index): ReadShot[] => {
    const line = index + (hasHead ? 2 : 1);
    const cell = (key: keyof typeof place): string => row[place[key]]?.trim() ?? "";
    const day = cell("day");
    if (cell("name") === "") {
      faults.push(`line ${line}: it has no shot's name`);
      return [];
    }
    if (day !== "" && readDay(day) === null) {
      faults.push(`line ${line}: "${day}" is no day like 2026-03-09`);
      return [];
    }
    return [{ name: cell("name"), day: day === "" ? null : day, needs: readNeeds(cell("needs")), note: cell("note") }];
  });
  return { shots, faults };
};
