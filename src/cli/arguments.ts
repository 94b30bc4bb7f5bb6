import { parseArgs } from "node:util";
import { type DailiesArguments, dailiesArguments } from "./dailies-arguments.ts";
import { type TriageArguments, triageArguments } from "./triage-arguments.ts";

/** Which frames, and how they are worked on: the same for every command. */
export interface ShotArguments {
  readonly folder: string;
  /** Null: a sheet that lies in the folder. */
  readonly sheet: string | null;
  /** "-" is stdout. */
  readonly json: string | null;
  readonly sequence: string | null;
  readonly threads: number | null;
  readonly quiet: boolean;
  /** The shot is looked at without a sheet, even where one lies in the folder. */
  readonly withoutSheet?: true;
}

/** What `holdfast check` was asked. */
export interface CheckArguments extends ShotArguments {
  readonly bandPx: number | null;
  /** Report of another pass of the same camera move; null: none. */
  readonly compare: string | null;
  /** Where the sheet goes that is proposed from what was found without one. */
  readonly propose: string | null;
}

/** What `holdfast prove` was asked. */
export interface ProveArguments extends ShotArguments {
  /** Null: every held part. */
  readonly part: string | null;
}

/** `holdfast check` of several folders, one after another. */
export interface ManyArguments {
  readonly folders: readonly string[];
  /** What each of them is checked with; its `folder` and `json` are those of the whole. */
  readonly each: Omit<CheckArguments, "folder" | "json">;
  /** A folder for the reports. */
  readonly json: string | null;
}

export type Command =
  | { readonly kind: "check"; readonly check: CheckArguments }
  | { readonly kind: "check-many"; readonly many: ManyArguments }
  | { readonly kind: "dailies"; readonly dailies: DailiesArguments }
  | { readonly kind: "triage"; readonly triage: TriageArguments }
  | { readonly kind: "prove"; readonly prove: ProveArguments }
  | { readonly kind: "help" }
  | { readonly kind: "version" }
  | { readonly kind: "wrong"; readonly why: string };

export const MOST_THREADS = 256;

const wrong = (why: string): Command => ({ kind: "wrong", why });

const options = {
  sheet: { type: "string" },
  json: { type: "string" },
  band: { type: "string" },
  compare: { type: "string" },
  propose: { type: "string" },
  part: { type: "string" },
  sequence: { type: "string" },
  threads: { type: "string" },
  quiet: { type: "boolean", short: "q" },
  store: { type: "string" },
  frames: { type: "string" },
  out: { type: "string" },
  format: { type: "string" },
  all: { type: "boolean" },
  verdict: { type: "string" },
  department: { type: "string" },
  by: { type: "string" },
  order: { type: "string" },
  help: { type: "boolean", short: "h" },
  version: { type: "boolean" },
} as const;

const commands = ["check", "prove", "dailies", "triage"] as const;
type CommandName = (typeof commands)[number];
const isCommand = (word: string): word is CommandName => (commands as readonly string[]).includes(word);

/** Which commands have an option; help and version stand for themselves. */
const ownersOf: Readonly<Record<string, readonly CommandName[]>> = {
  sheet: ["check", "prove"],
  json: ["check", "prove"],
  band: ["check"],
  compare: ["check"],
  propose: ["check"],
  part: ["prove"],
  sequence: ["check", "prove"],
  threads: ["check", "prove"],
  quiet: ["check", "prove"],
  store: ["dailies", "triage"],
  frames: ["dailies"],
  out: ["dailies", "triage"],
  format: ["dailies", "triage"],
  all: ["dailies"],
  verdict: ["dailies"],
  department: ["dailies"],
  by: ["triage"],
  order: ["triage"],
};

/** What makes no sense for several folders at once, and why. */
const onlyForOne: Readonly<Record<string, string>> = {
  sheet: "each takes the sheet that lies in it",
  sequence: "each takes its longest one",
  compare: "each would need a report of its own",
  propose: "each would need a file of its own",
};

const parse = (argv: readonly string[]) =>
  parseArgs({ args: [...argv], options, allowPositionals: true, tokens: true });

/** The command that the words after the program's name stand for. Nothing is looked up on the disk. */
export const readArguments = (argv: readonly string[]): Command => {
  let parsed: ReturnType<typeof parse>;
  try {
    parsed = parse(argv);
  } catch (error) {
    // Its first sentence says what is wrong, the rest how to write a file name that begins with a dash.
    return wrong(error instanceof Error ? error.message.split(". ")[0] : String(error));
  }
  const { values, positionals, tokens } = parsed;
  if (values.help || positionals[0] === "help") return { kind: "help" };
  if (values.version) return { kind: "version" };
  const given = tokens.flatMap((token) => (token.kind === "option" ? token.name : []));
  const twice = given.find((name, place) => given.indexOf(name) !== place);
  if (twice !== undefined) return wrong(`--${twice} is given twice`);
  const [command, ...places] = positionals;
  const [folder] = places;
  if (command === undefined) return wrong("no command is given");
  if (!isCommand(command)) return wrong(`there is no command "${command}"`);
  const isOfFrames = command === "check" || command === "prove";
  if (folder === undefined) return wrong(isOfFrames ? "no folder of frames is given" : "no report is given");
  if (command === "prove" && places.length > 1)
    return wrong(`one folder of frames at a time: "${places[1]}" is one too many`);
  const empty = Object.entries(values).find(([, value]) => value === "");
  if (empty !== undefined) return wrong(`--${empty[0]} is empty`);
  if (places.includes("")) return wrong(`${isOfFrames ? "FRAMES" : "REPORT"} is empty`);
  const strange = given.find((name) => name in ownersOf && !ownersOf[name].includes(command));
  if (strange !== undefined)
    return wrong(`--${strange} belongs to ${ownersOf[strange].join(" and ")}, not to ${command}`);
  if (command === "dailies") {
    const asked = dailiesArguments(places, values);
    return "why" in asked ? wrong(asked.why) : { kind: "dailies", dailies: asked };
  }
  if (command === "triage") {
    const asked = triageArguments(places, values);
    return "why" in asked ? wrong(asked.why) : { kind: "triage", triage: asked };
  }
  if (values.propose !== undefined && values.sheet !== undefined)
    return wrong("--propose looks at the shot without a sheet: --sheet has no place beside it");
  const bandPx = values.band === undefined ? null : Number(values.band);
  if (bandPx !== null && !(Number.isFinite(bandPx) && bandPx >= 0)) {
    return wrong(`--band is "${values.band}": it needs a number of pixels, 0 or more`);
  }
  const threads = values.threads === undefined ? null : Number(values.threads);
  if (threads !== null && !(Number.isInteger(threads) && threads >= 1 && threads <= MOST_THREADS)) {
    return wrong(`--threads is "${values.threads}": it needs a whole number from 1 to ${MOST_THREADS}`);
  }
  const shot: ShotArguments = {
    folder,
    sheet: values.sheet ?? null,
    json: values.json ?? null,
    sequence: values.sequence ?? null,
    threads,
    quiet: values.quiet ?? false,
  };
  if (command === "prove") return { kind: "prove", prove: { ...shot, part: values.part ?? null } };
  const { folder: _, json: __, ...each } = shot;
  const options = { bandPx, compare: values.compare ?? null, propose: values.propose ?? null };
  if (places.length === 1)
    return {
      kind: "check",
      check: { ...shot, ...options, ...(values.propose === undefined ? {} : { withoutSheet: true }) },
    };
  const single = given.find((name) => name in onlyForOne);
  if (single !== undefined) return wrong(`--${single} is for one folder; of several, ${onlyForOne[single]}`);
  if (shot.json === "-") return wrong("--json is -: of several folders the reports go into a folder");
  return { kind: "check-many", many: { folders: places, each: { ...each, ...options }, json: shot.json } };
};
