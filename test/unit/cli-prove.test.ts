import { createHash } from "node:crypto";
import { mkdtemp, readdir, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { parseProof } from "../../src/model/index.ts";
import { renderShot } from "../support/render.ts";
import { heldPart } from "../support/shots.ts";
import { writeShot } from "../support/write.ts";
import { buildCli, type BuiltCli, type Ran } from "./built-cli.ts";

// `holdfast prove` as a person runs it, on a small rendered shot.

let cli: BuiltCli;
let folder = "";
let frames = "";
const shot = heldPart({ seed: 31, size: 90, frames: 12 });

beforeAll(async () => {
  cli = await buildCli();
  folder = await mkdtemp(path.join(tmpdir(), "holdfast-prove-"));
  frames = path.join(folder, "hive_010");
  await writeShot(renderShot(shot.scene, shot.frames), frames, { sheet: shot.sheet });
}, 120_000);
afterAll(async () => {
  await cli?.remove();
  await rm(folder, { recursive: true, force: true });
});

const prove = (...args: readonly string[]): Promise<Ran> => cli.run(["prove", ...args]);

/** Name and content of every file beside the frames. */
const contents = async (): Promise<string[]> => {
  const names = (await readdir(frames)).sort();
  const hashes = names.map(async (name) => {
    const hash = createHash("sha256").update(await readFile(path.join(frames, name)));
    return `${name} ${hash.digest("hex")}`;
  });
  return Promise.all(hashes);
};

test("what was put in comes back, in words and in a file that reads back, and ends with 0; frames stay as they are", async () => {
  const before = await contents();
  const json = path.join(folder, "proof.json");
  const ran = await prove(frames, "--json", json);
  expect(ran).toMatchObject({ code: 0 });
  expect(ran.out).toMatch(/^What was put into 1 part came back as it was put in, in 12 frames of hive_010\.$/m);
  const parsed = parseProof(await readFile(json, "utf8"), json);
  if (!("proof" in parsed)) throw new Error(JSON.stringify(parsed));
  const [part] = parsed.proof.parts;
  expect(part).toMatchObject({ part: "held", from: 5, to: 12, put: { px: 1, joint: "shoulder-left" } });
  expect(Math.abs(part.cameBack.px - 1)).toBeLessThan(0.02);
  expect(part.flag).toMatchObject({ kind: "sag", rightKind: true, rightJoint: true });
  expect(part.smallest?.px).toBeLessThan(0.2);
  expect(ran.out).toContain(part.message);
  expect(await contents()).toEqual(before);
});

test("any number of threads gives the same proof to the last digit; --json - puts it alone on stdout", async () => {
  const one = await prove(frames, "--part", "held", "--json", "-", "--threads", "1", "-q");
  const four = await prove(frames, "--part", "held", "--json", "-", "--threads", "4", "-q");
  expect(JSON.parse(one.out)).toMatchObject({ format: "holdfast-proof", version: 1 });
  expect(four.out).toBe(one.out);
  expect(one.err).toContain("Into the left arm a sag of 1.00 px was put");
});

test("a part that isn't on the sheet ends with 2 and names those that are", async () => {
  expect(await prove(frames, "--part", "smoker", "-q")).toMatchObject({
    code: 2,
    out: "",
    err: expect.stringContaining('there is no part "smoker" in hive_010; there are: held\n'),
  });
});

test("wrong arguments and a folder that isn't there end with 2", async () => {
  expect(await prove()).toMatchObject({ code: 2, err: "no folder of frames is given.\nSee holdfast --help.\n" });
  expect(await prove(frames, "--band", "1")).toMatchObject({ code: 2, out: "" });
  expect(await prove(path.join(folder, "nowhere"))).toMatchObject({ code: 2, out: "" });
  expect((await cli.run(["--help"])).out).toContain("holdfast prove FRAMES");
});

test("frames and sheet are never written over by the proof", async () => {
  const before = await contents();
  const ran = await prove(frames, "--json", path.join(frames, "hive_010_0001.jpg"));
  expect(ran.code).toBe(2);
  expect(ran.err).toContain("not written over");
  expect(await contents()).toEqual(before);
});
