// JSON in and out: errors with a line and a column that are the same in every engine, and a layout that
// people can read and compare line by line.

const NUMBER = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
const WORD = /[\p{L}\p{N}_$]+/uy;

const matchAt = (pattern: RegExp, text: string, at: number): string => {
  pattern.lastIndex = at;
  return pattern.exec(text)?.[0] ?? "";
};

const skipSpace = (text: string, from: number): number => {
  let at = from;
  while (at < text.length && " \t\n\r".includes(text[at])) at++;
  return at;
};

/** Index after the string that starts at `from`, or where it goes wrong as [index]. */
const skipString = (text: string, from: number): number | readonly [number] => {
  let at = from + 1;
  while (at < text.length) {
    const char = text[at];
    if (char === '"') return at + 1;
    if (char < " ") return [at];
    if (char !== "\\") at += 1;
    else if (text[at + 1] === "u" && /^[0-9a-fA-F]{4}$/.test(text.slice(at + 2, at + 6))) at += 6;
    else if (at + 1 < text.length && '"\\/bfnrt'.includes(text[at + 1])) at += 2;
    else return [at];
  }
  return [at];
};

/** Where a text stops being JSON, and what would have to stand there. For texts that `JSON.parse` refused. */
const firstFault = (text: string): { readonly at: number; readonly wanted: string } => {
  const open: ("{" | "[")[] = [];
  let at = 0;
  // What may come next: a value, a value or the end of an empty list, a key, a key or "}", or what follows a value.
  let next: "value" | "first-item" | "key" | "first-key" | "after" = "value";
  for (;;) {
    at = skipSpace(text, at);
    const char = text[at] ?? "";
    if (next === "after") {
      const inside = open.at(-1);
      if (inside === undefined) {
        return { at, wanted: "the end of the file" };
      }
      if (char === ",") {
        next = inside === "{" ? "key" : "value";
        at++;
      } else if (char === (inside === "{" ? "}" : "]")) {
        open.pop();
        at++;
      } else return { at, wanted: inside === "{" ? "a comma or }" : "a comma or ]" };
    } else if (next === "key" || next === "first-key") {
      if (char === "}" && next === "first-key") {
        open.pop();
        at++;
        next = "after";
        continue;
      }
      if (char !== '"') return { at, wanted: next === "key" ? 'a key in "quotes"' : 'a key in "quotes" or }' };
      const end = skipString(text, at);
      if (typeof end !== "number") return { at: end[0], wanted: "the rest of a text in quotes" };
      at = skipSpace(text, end);
      if (text[at] !== ":") return { at, wanted: "a colon" };
      at++;
      next = "value";
    } else if (char === "]" && next === "first-item") {
      open.pop();
      at++;
      next = "after";
    } else if (char === "{" || char === "[") {
      open.push(char);
      at++;
      next = char === "{" ? "first-key" : "first-item";
    } else if (char === '"') {
      const end = skipString(text, at);
      if (typeof end !== "number") return { at: end[0], wanted: "the rest of a text in quotes" };
      at = end;
      next = "after";
    } else {
      const word = matchAt(WORD, text, at);
      const token = ["true", "false", "null"].includes(word) ? word : matchAt(NUMBER, text, at);
      if (token === "") return { at, wanted: "a value" };
      at += token.length;
      next = "after";
    }
  }
};

export type JsonAnswer = { readonly value: unknown } | { readonly fault: string };

/** The value of a JSON text (a byte order mark is skipped), or a sentence that says where it breaks. Never throws. */
export const parseJson = (text: string): JsonAnswer => {
  const body = text.startsWith("\uFEFF") ? text.slice(1) : text;
  if (body.trim() === "") return { fault: "is empty" };
  try {
    return { value: JSON.parse(body) as unknown };
  } catch {
    const { at, wanted } = firstFault(body);
    const before = body.slice(0, at).split("\n");
    const char = body.codePointAt(at);
    const found =
      char === undefined
        ? "the file ends"
        : `there is ${JSON.stringify(matchAt(WORD, body, at).slice(0, 40) || String.fromCodePoint(char))}`;
    const place = `line ${before.length}, column ${(before.at(-1) ?? "").length + 1}`;
    return { fault: `is not JSON: at ${place} ${found} where ${wanted} should be` };
  }
};

/** False where a value is plainly longer than a line, without writing it: a report's rows are written once. */
const mayFit = (value: unknown, width: number): boolean => {
  if (typeof value !== "object" || value === null) return true;
  if (Array.isArray(value)) return value.length * 2 <= width;
  return Object.values(value).every((item) => !Array.isArray(item) || item.length * 2 <= width);
};

const layOut = (value: unknown, width: number, depth: number, indent: string): string => {
  if (typeof value !== "object" || value === null || depth === 0) return JSON.stringify(value);
  if (mayFit(value, width)) {
    const line = JSON.stringify(value);
    if (line.length + indent.length <= width) return line;
  }
  const inner = `${indent}  `;
  if (Array.isArray(value)) {
    return `[\n${value.map((item) => inner + layOut(item ?? null, width, depth - 1, inner)).join(",\n")}\n${indent}]`;
  }
  const rows = Object.entries(value)
    .filter(([, item]) => item !== undefined)
    .map(([key, item]) => `${inner}${JSON.stringify(key)}: ${layOut(item, width, depth - 1, inner)}`);
  return `{\n${rows.join(",\n")}\n${indent}}`;
};

/** JSON with what fits in a line of `width` on one line; what lies deeper than `depth` is on one line whatever its length. */
export const writeJson = (value: unknown, width: number, depth: number): string =>
  `${layOut(value, width, depth, "")}\n`;
