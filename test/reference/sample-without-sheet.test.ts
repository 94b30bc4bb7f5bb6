import { mkdtemp, readFile, rm } from "node:fs/promises";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { parseReport, parseSheet, type Report } from "../../src/model/index.ts";
import { type BuiltCli, buildCli, type Ran } from "../unit/built-cli.ts";

// The rendered sample shots without their sheets: what drifted has to be found in the pictures. The truth comes from
// their geometry (sample-frames/generator), not from any measurement.

const samples = path.resolve(import.meta.dirname, "../../sample-frames");
let cli: BuiltCli;
let scratch: string;

beforeAll(async () => {
  [cli, scratch] = await Promise.all([buildCli(), mkdtemp(path.join(os.tmpdir(), "holdfast-bare-"))]);
}, 120_000);
afterAll(async () => {
  await cli.remove();
  await rm(scratch, { recursive: true, force: true });
});

const proposedOf = (name: string): string => path.join(scratch, `${name}.sheet.json`);

const check = async (name: string, ...more: readonly string[]): Promise<{ ran: Ran; report: Report }> => {
  const json = path.join(scratch, `${name}.json`);
  const ran = await cli.run(["check", path.join(samples, name), "--json", json, "--quiet", ...more]);
  const parsed = parseReport(await readFile(json, "utf8"), json);
  if ("refusals" in parsed) throw new Error(parsed.refusals.join("\n"));
  return { ran, report: parsed.report };
};

interface Truth {
  readonly expected: readonly { readonly kind: string; readonly from: number; readonly px: number }[];
}

test("the sagging arm is found, told on a piece at the left arm, and proposed as a part that holds", async () => {
  const { ran, report } = await check("hive_010", "--propose", proposedOf("hive_010"));
  expect(ran.code).toBe(1);
  const truth = JSON.parse(await readFile(path.join(samples, "hive_010", "truth.json"), "utf8")) as Truth;
  expect(report.flags.map(({ kind }) => kind).sort()).toEqual(truth.expected.map(({ kind }) => kind).sort());
  const flag = report.flags.find(({ kind }) => kind === "sag")!;
  const expected = truth.expected.find(({ kind }) => kind === "sag")!;
  expect(Math.abs(flag.px! - expected.px)).toBeLessThan(0.15);
  expect(Math.abs(flag.from - expected.from)).toBeLessThanOrEqual(3);
  // The arm reaches from (672, 378) at the shoulder to (1054, 472) at the hand: holdfast-sheet.json.
  const outline = report.parts.find(({ id }) => id === flag.part)!.outline;
  for (const [x, y] of outline) {
    expect(x).toBeGreaterThan(650);
    expect(x).toBeLessThan(1090);
    expect(y).toBeGreaterThan(310);
    expect(y).toBeLessThan(510);
  }
  // The arm that is animated, at the left: from the dipper at (280, 380) to the shoulder at (548, 544).
  const animated = report.animated!.find((one) => one.outline.some(([x]) => x < 400))!;
  expect(animated.moves.length).toBeGreaterThan(0);

  const file = proposedOf("hive_010");
  const parsed = parseSheet(await readFile(file, "utf8"), file, report.shot);
  if ("refusals" in parsed) throw new Error(parsed.refusals.join("\n"));
  const again = await check("hive_010", "--sheet", file);
  expect(again.report.flags.map(({ kind }) => kind).sort()).toEqual(report.flags.map(({ kind }) => kind).sort());
}, 300_000);

test("the twin in which everything held has no flag without its sheet either", async () => {
  const { ran, report } = await check("hive_010_true", "--propose", proposedOf("hive_010_true"));
  expect(report.flags.map(({ message }) => message)).toEqual([]);
  expect(ran.code).toBe(0);
}, 300_000);
