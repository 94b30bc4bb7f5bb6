import { mkdir, mkdtemp, readdir, readFile, rm, stat, symlink, utimes, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import {
  checkWritable,
  FileProblem,
  filesIn,
  isSameFile,
  readText,
  writeText,
} from "../../src/store/adapters/files.ts";

let folder = "";
const at = (name: string): string => path.join(folder, name);
beforeEach(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "holdfast-files-"));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

test("files come with their path and time; folders and links that lead nowhere are left out", async () => {
  await writeFile(at("hive_010_0001.jpg"), "x");
  await utimes(at("hive_010_0001.jpg"), 1000, 2000);
  await mkdir(at("hive_010_0002.jpg"));
  await symlink(at("gone"), at("hive_010_0003.jpg"));
  await symlink(at("hive_010_0001.jpg"), at("hive_010_0004.jpg"));
  const found = (await filesIn(folder)).toSorted((a, b) => (a.name < b.name ? -1 : 1));
  expect(found).toEqual(
    ["hive_010_0001.jpg", "hive_010_0004.jpg"].map((name) => ({ name, path: at(name), modified: 2_000_000 })),
  );
});

test("a text comes with the checksum of its bytes", async () => {
  await writeFile(at("a"), "abc");
  // SHA-256 of "abc": FIPS 180-2, appendix B.1, from memory.
  const sha256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
  expect(await readText(at("a"))).toEqual({ text: "abc", sha256 });
});

test("what can't be read is told by name", async () => {
  await writeFile(at("bytes"), Uint8Array.of(0xc3, 0x28));
  await expect(readText(at("bytes"))).rejects.toEqual(new FileProblem(`${at("bytes")} is no text in UTF-8`));
  await expect(readText(at("gone"))).rejects.toEqual(new FileProblem(`${at("gone")} isn't there`));
  await expect(readText(folder)).rejects.toEqual(new FileProblem(`${folder} is a folder`));
  await expect(filesIn(at("bytes"))).rejects.toEqual(new FileProblem(`${at("bytes")} is no folder`));
});

test("a text replaces the whole file and leaves no draft; through a link it replaces what the link leads to", async () => {
  await writeFile(at("old"), "a longer text than the new one");
  await symlink(at("old"), at("link"));
  await writeText(at("link"), "new");
  expect(await readFile(at("old"), "utf8")).toBe("new");
  await writeText(at("fresh"), "text");
  expect(await readFile(at("fresh"), "utf8")).toBe("text");
  expect((await readdir(folder)).toSorted()).toEqual(["fresh", "link", "old"]);
});

test("a text that can't be written is told by name and leaves what was there", async () => {
  await expect(writeText(at("gone/report.json"), "x")).rejects.toEqual(
    new FileProblem(`${at("gone/report.json")} isn't there`),
  );
  await expect(checkWritable(at("gone/report.json"))).rejects.toEqual(new FileProblem(`${at("gone")} isn't there`));
  await expect(checkWritable(folder)).rejects.toEqual(new FileProblem(`${folder} is a folder`));
  await writeFile(at("file"), "x");
  await expect(checkWritable(at("file/report.json"))).rejects.toEqual(new FileProblem(`${at("file")} is no folder`));
  await checkWritable(at("report.json"));
  expect(await stat(at("report.json")).catch(() => null)).toBeNull();
});

test("two paths to one file are the same file, links and dots and all, whether or not it is there", async () => {
  await writeFile(at("a"), "x");
  await symlink(at("a"), at("b"));
  expect(await isSameFile(at("a"), at("b"))).toBe(true);
  expect(await isSameFile(at("new"), at("sub/../new"))).toBe(true);
  expect(await isSameFile(at("a"), at("c"))).toBe(false);
});
