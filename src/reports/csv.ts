import Papa from "papaparse";

/**
 * What a spreadsheet takes for the beginning of a formula: = + - @, their full-width twins, tab and line ends. Such a
 * cell gets an apostrophe in front (OWASP, "CSV Injection"). Numbers are no text and keep their sign.
 */
const FORMULA = /^[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/u;
/** Separators of other countries' spreadsheets: a cell with one is quoted, so that it can't fall apart into a formula. */
const FOREIGN = /[;\t]/u;

export type Cell = string | number | null;

/**
 * A CSV text after RFC 4180: a header, then one line a row, each ended by CRLF; quotes doubled, cells with commas,
 * quotes or line ends quoted; null and numbers that aren't finite empty.
 */
export const writeCsv = (header: readonly string[], rows: readonly (readonly Cell[])[]): string => {
  const clean = rows.map((row) =>
    row.map((cell) => (typeof cell === "number" && !Number.isFinite(cell) ? null : cell)),
  );
  const text = Papa.unparse(
    { fields: [...header], data: clean },
    {
      newline: "\r\n",
      escapeFormulae: FORMULA,
      quotes: (value: unknown) => typeof value === "string" && FOREIGN.test(value),
    },
  );
  return `${text}\r\n`;
};
