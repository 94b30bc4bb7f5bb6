import { parseArgs } from "node:util";

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

export type Command =
  | { readonly kind: "check"; readonly check: CheckArguments }
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
  help: { type: "boolean", short: "h" },
  version: { type: "boolean" },
} as const;

/** Options that one command alone has. */
const onlyOf = [
  { option: "band", owner: "check" },
  { option: "compare", owner: "check" },
  { option: "propose", owner: "check" },
  { option: "part", owner: "prove" },
] as const;

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
  const [command, folder, more] = positionals;
  if (command === undefined) return wrong("no command is given");
  if (command !== "check" && command !== "prove") return wrong(`there is no command "${command}"`);
  if (folder === undefined) return wrong("no folder of frames is given");
  if (more !== undefined) return wrong(`one folder of frames at a time: "${more}" is one too many`);
  const empty = Object.entries(values).find(([, value]) => value === "");
  if (folder === "" || empty !== undefined)
    return wrong(`${empty === undefined ? "FRAMES" : `--${empty[0]}`} is empty`);
  const strange = onlyOf.find(({ option, owner }) => values[option] !== undefined && owner !== command);
  if (strange !== undefined) return wrong(`--${strange.option} belongs to ${strange.owner}, not to ${command}`);
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
  return command === "check"
    ? {
        kind: "check",
        check: {
          ...shot,
          bandPx,
          compare: values.compare ?? null,
          propose: values.propose ?? null,
          ...(values.propose === undefined ? {} : { withoutSheet: true }),
        },
      }
    : { kind: "prove", prove: { ...shot, part: values.part ?? null } };
};
