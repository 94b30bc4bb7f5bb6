import { expect, test } from "vitest";
import { MOST_THREADS, readArguments } from "../../src/cli/arguments.ts";
import { help } from "../../src/cli/help.ts";

const plain = {
  folder: "hive_010",
  sheet: null,
  json: null,
  bandPx: null,
  compare: null,
  propose: null,
  sequence: null,
  threads: null,
  quiet: false,
};

test("a folder alone is checked with what stands by default", () => {
  expect(readArguments(["check", "hive_010"])).toEqual({ kind: "check", check: plain });
});

test("every option is read, before or after the folder, with or without an equals sign", () => {
  const all = {
    folder: "hive_010",
    sheet: "sheets/hive_010.json",
    json: "-",
    bandPx: 0.25,
    compare: "pass-b.json",
    propose: null,
    sequence: "hive_010 beauty",
    threads: 3,
    quiet: true,
  };
  const words =
    "check --sheet sheets/hive_010.json hive_010 --json - --band=0.25 --compare pass-b.json --threads 3 --sequence=hive_010_beauty -q";
  expect(readArguments(words.split(" ").map((word) => word.replace("010_beauty", "010 beauty")))).toEqual({
    kind: "check",
    check: all,
  });
});

test("a sheet is proposed from a look without one, even where one lies in the folder", () => {
  expect(readArguments(["check", "hive_010", "--propose", "proposed.json"])).toEqual({
    kind: "check",
    check: { ...plain, propose: "proposed.json", withoutSheet: true },
  });
});

test("a proof has the options of a check, without a band and with a part", () => {
  const { bandPx: _, compare: __, propose: ___, ...shot } = plain;
  expect(readArguments(["prove", "hive_010"])).toEqual({ kind: "prove", prove: { ...shot, part: null } });
  expect(readArguments(["prove", "hive_010", "--part", "upper-arm-left", "--threads=2", "--json", "-"])).toEqual({
    kind: "prove",
    prove: { ...shot, part: "upper-arm-left", threads: 2, json: "-" },
  });
});

test.each([
  [["prove"], "no folder of frames is given"],
  [["prove", "a", "--propose", "b"], "--propose belongs to check, not to prove"],
  [
    ["check", "a", "--propose", "b", "--sheet", "c"],
    "--propose looks at the shot without a sheet: --sheet has no place beside it",
  ],
  [["prove", "a", "--band", "1"], "--band belongs to check, not to prove"],
  [["check", "a", "--part", "b"], "--part belongs to prove, not to check"],
  [["prove", "a", "--part="], "--part is empty"],
  [[], "no command is given"],
  [["chekc", "hive_010"], 'there is no command "chekc"'],
  [["check"], "no folder of frames is given"],
  [["check", ""], "FRAMES is empty"],
  [["prove", "a", "b"], 'one folder of frames at a time: "b" is one too many'],
  [["check", "a", "b", "--sheet", "c"], "--sheet is for one folder; of several, each takes the sheet that lies in it"],
  [["check", "a", "b", "--json", "-"], "--json is -: of several folders the reports go into a folder"],
  [["check", "a", ""], "FRAMES is empty"],
  [["dailies"], "no report is given"],
  [["dailies", "a", "--sheet", "b"], "--sheet belongs to check and prove, not to dailies"],
  [["check", "a", "--out", "b"], "--out belongs to dailies and triage, not to check"],
  [["dailies", "a", "--by", "part"], "--by belongs to triage, not to dailies"],
  [["triage", "a", "--by", "part,limb"], '--by has "limb": it needs some of puppet, copy, part, joint, kind'],
  [["triage", "a", "--order", "name"], '--order is "name": it needs one of often, degrees, mm, px'],
  [["triage", "a", "--format", "html"], '--format is "html": of triage it needs one of txt, csv'],
  [["dailies", "a", "--format", "pdf"], '--format is "pdf": it needs one of md, csv, html, otio, edl, corrections'],
  [["dailies", "a", "--out", "b.pdf"], '--out is "b.pdf": its ending says no format, --format has to'],
  [
    ["dailies", "a", "--verdict", "open,lost"],
    '--verdict has "lost": it needs some of open, meant, put-right, ease-back, reshoot, paint-out, live-with-it, to-the-bench',
  ],
  [
    ["dailies", "a", "--department", "wigs"],
    '--department has "wigs": it needs some of armature, mould-and-silicone, costume, hair-and-face-kits, camera, lighting, set, not-told',
  ],
  [["check", "a", "--shet", "x"], "Unknown option '--shet'"],
  [["check", "a", "--sheet"], "Option '--sheet <value>' argument missing"],
  [["check", "a", "--sheet="], "--sheet is empty"],
  [["check", "a", "--sheet", "x", "--sheet", "y"], "--sheet is given twice"],
  [["check", "a", "--band", "wide"], '--band is "wide": it needs a number of pixels, 0 or more'],
  [["check", "a", "--band=-1"], '--band is "-1": it needs a number of pixels, 0 or more'],
  [["check", "a", "--band", "1e999"], '--band is "1e999": it needs a number of pixels, 0 or more'],
  [["check", "a", "--threads", "0"], `--threads is "0": it needs a whole number from 1 to ${MOST_THREADS}`],
  [["check", "a", "--threads", "2.5"], `--threads is "2.5": it needs a whole number from 1 to ${MOST_THREADS}`],
])("%j is refused: %s", (argv, why) => {
  expect(readArguments(argv)).toEqual({ kind: "wrong", why });
});

test("several folders are checked with the same options, each with its own sheet", () => {
  const { folder: _, json: __, ...each } = plain;
  expect(readArguments(["check", "a", "b", "--json", "reports", "--band", "0.5"])).toEqual({
    kind: "check-many",
    many: { folders: ["a", "b"], each: { ...each, bandPx: 0.5 }, json: "reports" },
  });
});

test("notes for dailies take many reports; the ending of the file says the format", () => {
  const filter = { wholeShot: false, verdicts: null, departments: null };
  expect(readArguments(["dailies", "reports"])).toEqual({
    kind: "dailies",
    dailies: { reports: ["reports"], store: null, frames: null, out: null, format: "md", filter },
  });
  for (const [name, format] of Object.entries({
    "a.HTML": "html",
    "a.htm": "html",
    "a.markdown": "md",
    "a.edl": "edl",
  }))
    expect(readArguments(["dailies", "r", "--out", name])).toMatchObject({ dailies: { out: name, format } });
  expect(
    readArguments(["dailies", "a", "b", "--all", "--verdict", "open, reshoot", "--department", "set", "--format=csv"]),
  ).toEqual({
    kind: "dailies",
    dailies: {
      reports: ["a", "b"],
      store: null,
      frames: null,
      out: null,
      format: "csv",
      filter: { wholeShot: true, verdicts: new Set(["open", "reshoot"]), departments: new Set(["set"]) },
    },
  });
});

test("notes take what an export knows, and frames for the pictures of a page alone", () => {
  expect(readArguments(["dailies", "r", "--store", "s.zip", "--frames", "f", "--format", "html"])).toMatchObject({
    dailies: { store: "s.zip", frames: "f" },
  });
  expect(readArguments(["dailies", "r", "--frames", "f"])).toMatchObject({
    why: "--frames is for pictures, and only html has some",
  });
  expect(readArguments(["triage", "r", "--store", "s.zip"])).toMatchObject({ triage: { store: "s.zip" } });
  expect(readArguments(["check", "f", "--store", "s.zip"])).toMatchObject({
    why: "--store belongs to dailies and triage, not to check",
  });
});

test("a list of what drifts most takes levels and an order", () => {
  const usual = { reports: ["r"], store: null, out: null, format: "txt", levels: ["puppet", "part", "joint"] };
  expect(readArguments(["triage", "r"])).toEqual({
    kind: "triage",
    triage: { ...usual, order: { by: "often", family: "any" } },
  });
  expect(readArguments(["triage", "r", "--by", "kind, copy", "--order=mm", "--out", "a.CSV"])).toEqual({
    kind: "triage",
    triage: { ...usual, out: "a.CSV", format: "csv", levels: ["copy", "kind"], order: { by: "mm" } },
  });
});

test("a negative band is refused rather than taken for an option", () => {
  expect(readArguments(["check", "a", "--band=-1"])).toMatchObject({ kind: "wrong" });
  expect(readArguments(["check", "a", "--band", "-1"])).toMatchObject({ kind: "wrong" });
});

test("help and version are answered wherever they stand", () => {
  for (const argv of [["--help"], ["-h"], ["help"], ["check", "--help"], ["check", "a", "-h"]]) {
    expect(readArguments(argv)).toEqual({ kind: "help" });
  }
  expect(readArguments(["--version"])).toEqual({ kind: "version" });
});

test("the help text tells every option and every exit code, and fits a terminal of 120 columns", () => {
  for (const name of [
    "sheet",
    "json",
    "band",
    "part",
    "sequence",
    "threads",
    "quiet",
    "out",
    "format",
    "all",
    "help",
    "version",
  ]) {
    expect(help).toContain(`--${name}`);
  }
  for (const code of [0, 1, 2, 3]) expect(help).toMatch(new RegExp(`^ {2}${code} {2}\\S`, "m"));
  expect(Math.max(...help.split("\n").map((line) => line.length))).toBeLessThanOrEqual(120);
});
