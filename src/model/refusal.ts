import type { z } from "./schema.ts";

// What the schema found wrong, said to the person who wrote the file: where, what arrived, what was needed.

type Issue = z.core.$ZodIssue;

/** What is in a list, by the key of the list. */
const itemNames: Readonly<Record<string, string>> = {
  parts: "part",
  outlines: "outline",
  points: "point",
  holes: "hole",
  joints: "joint",
  intents: "intent",
  camera: "camera intent",
  marks: "mark",
  frames: "frame row",
  tracks: "track",
  flags: "flag",
  warnings: "warning",
  outline: "point",
  region: "point",
  causes: "cause",
  fixes: "fix",
  outcomes: "outcome",
  order: "order",
  evidence: "sign",
  ruledOutBy: "sign",
  kinds: "kind",
  builds: "build",
  steps: "step",
  cautions: "caution",
  hidden: "cause",
};

/** A value as it stands in a sentence: short texts and numbers whole, lists and objects by their size. */
export const quote = (value: unknown): string => {
  if (value === undefined) return "missing";
  if (typeof value === "string") return JSON.stringify(value.length > 60 ? `${value.slice(0, 60)}…` : value);
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === "object" && value !== null) return "an object";
  return typeof value === "number" || typeof value === "boolean" || value === null ? String(value) : typeof value;
};

export const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

const at = (value: unknown, key: PropertyKey): unknown =>
  typeof value === "object" && value !== null && Object.hasOwn(value, key)
    ? (value as Record<PropertyKey, unknown>)[key]
    : undefined;

/** "part 'cuff'" where the thing has an id, "part 2" where it has none. */
export const itemName = (noun: string, item: unknown, index: number): string => {
  const id = at(item, "id");
  return typeof id === "string" && /\S/u.test(id) ? `${noun} '${id.slice(0, 60)}'` : `${noun} ${index + 1}`;
};

/** The steps that lead to a place in the file, in words: ["part 'cuff'", "outline 2", "point 3", "x"]. */
const stepsTo = (root: unknown, path: readonly PropertyKey[]): string[] => {
  const steps: string[] = [];
  let [value, noun]: [unknown, string] = [root, ""];
  path.forEach((key, depth) => {
    value = at(value, key);
    if (typeof key !== "number") {
      noun = path[depth - 1] === "shot" && key === "frames" ? "frame number" : (itemNames[String(key)] ?? "");
      // A list is told by its items; only where the path ends at it does it need its own name.
      if (noun === "" || depth === path.length - 1) steps.push(String(key));
    } else if (noun !== "") {
      steps.push(itemName(noun, value, key));
      noun = noun === "hole" ? "point" : "";
    } else {
      steps.push((path[depth - 1] === "cut" ? ["first", "last"] : ["x", "y"])[key] ?? `item ${key + 1}`);
    }
  });
  return steps;
};

/** True where one typing slip (a wrong case, a letter too many, too few, another, or two swapped) lies between two words. */
export const isNearly = (written: string, meant: string): boolean => {
  const [a, b] = [written.toLowerCase(), meant.toLowerCase()];
  if (a === b) return written !== meant;
  if (b.length < 4 || Math.abs(a.length - b.length) > 1) return false;
  let start = 0;
  while (start < a.length && a[start] === b[start]) start++;
  const rest = (word: string, skip: number) => word.slice(start + skip);
  return (
    rest(a, 1) === rest(b, 1) ||
    rest(a, 1) === rest(b, 0) ||
    rest(a, 0) === rest(b, 1) ||
    (a[start] === b[start + 1] && a[start + 1] === b[start] && rest(a, 2) === rest(b, 2))
  );
};

const plural = (noun: string, n: number): string => (n === 1 ? noun : `${noun}s`);

const typeNames: Readonly<Record<string, string>> = {
  number: "a number",
  int: "a whole number",
  string: "a text",
  array: "a list",
  tuple: "a list of two",
  object: "an object",
  record: "an object",
};

/** What is wrong, to stand behind the place. `counted` is what a list holds, in the singular. */
const complaint = (issue: Issue, value: unknown, counted: string): string => {
  switch (issue.code) {
    case "invalid_type":
      return `is ${quote(value)}, needs ${typeNames[issue.expected] ?? issue.expected}`;
    case "invalid_value":
      return `is ${quote(value)}, needs ${issue.values.length > 1 ? "one of " : ""}${issue.values.join(", ")}`;
    case "too_small":
      if (Array.isArray(value)) {
        return `has ${value.length} ${plural(counted, value.length)}, needs ${counted === "number" ? "" : "at least "}${issue.minimum}`;
      }
      return `is ${quote(value)}, needs ${issue.inclusive ? `${issue.minimum} or more` : `more than ${issue.minimum}`}`;
    case "too_big":
      if (Array.isArray(value)) {
        return `has ${value.length} ${plural(counted, value.length)}, needs ${counted === "number" ? "" : "at most "}${issue.maximum}`;
      }
      return `is ${quote(value)}, needs ${issue.inclusive ? `${issue.maximum} or less` : `less than ${issue.maximum}`}`;
    case "invalid_format":
      return `is ${quote(value)}, needs at least one character that isn't a space`;
    case "custom":
    case "invalid_element":
    case "invalid_key":
    case "invalid_union":
    case "not_multiple_of":
    case "unrecognized_keys":
      break;
  }
  return `is ${quote(value)}: ${issue.message}`;
};

/** One sentence for one issue, without the file. `whole` names the whole file: "the sheet". */
export const sentenceOf = (issue: Issue, root: unknown, whole: string): string => {
  const value = issue.path.reduce<unknown>(at, root);
  const last = issue.path.at(-1);
  const parent = issue.path.slice(0, -1);
  const place = (path: readonly PropertyKey[]) => stepsTo(root, path).join(": ") || whole;
  if (value === undefined && typeof last === "string") {
    const holder = parent.reduce<unknown>(at, root);
    const slip = Object.keys(holder ?? {}).find((key) => isNearly(key, last));
    return `${place(parent)} has no "${last}"${slip === undefined ? "" : `; there is "${slip}", perhaps misspelt`}`;
  }
  if (Array.isArray(value) && (issue.code === "too_small" || issue.code === "too_big")) {
    const own = typeof last === "string" ? itemNames[last] : undefined;
    // "outline 2 has 2 points", "part 'cuff' has 0 outlines": the list itself needs no mention.
    if (own !== undefined && last !== "outline" && last !== "region") {
      return `${place(parent)} ${complaint(issue, value, own)}`;
    }
    const corners = own !== undefined || issue.path.at(-2) === "holes";
    return `${place(issue.path)} ${complaint(issue, value, corners ? "point" : "number")}`;
  }
  return `${place(issue.path)} ${complaint(issue, value, "item")}`;
};

/** What makes a file not one of this format or version, or null. */
export const formatFault = (value: unknown, format: string, version: number): string | null => {
  if (!isObject(value)) return `is ${quote(value)}, not a ${format}`;
  if (value.format !== format) {
    const found = value.format === undefined ? 'it has no "format"' : `its format is ${quote(value.format)}`;
    return `is not a ${format}: ${found}`;
  }
  if (typeof value.version !== "number" || !Number.isInteger(value.version) || value.version < 1) {
    return value.version === undefined
      ? 'has no "version"'
      : `has version ${quote(value.version)}, which is no version of ${format}`;
  }
  return value.version > version ? `is ${format} version ${value.version}; this Holdfast reads up to ${version}` : null;
};

/** The reasons as refusals: sentences that begin with the name of the file. */
export const refusals = (file: string, reasons: readonly string[]) => ({
  refusals: reasons.map((reason) => (/^(is|has) /.test(reason) ? `${file} ${reason}` : `${file}: ${reason}`)),
});
