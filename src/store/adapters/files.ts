import { createHash } from "node:crypto";
import { open, readdir, readFile, realpath, rename, rm, stat, writeFile } from "node:fs/promises";
import path from "node:path";

// Files and folders of the machine. Frames are only ever read.

export interface FoundFile {
  readonly name: string;
  readonly path: string;
  /** Milliseconds since 1970. */
  readonly modified: number;
}

/** Why a file or folder can't be used, as a sentence that names it. */
export class FileProblem extends Error {}

const reasons: Readonly<Record<string, string>> = {
  ENOENT: "isn't there",
  EACCES: "may not be read or written",
  EPERM: "may not be read or written",
  ENOTDIR: "is no folder",
  EISDIR: "is a folder",
  EROFS: "lies on a disk that can't be written to",
  ENOSPC: "doesn't fit: the disk is full",
};

const problem = (file: string, error: unknown): FileProblem => {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  return new FileProblem(`${file} ${reasons[code] ?? `can't be used: ${String(error)}`}`);
};

/** The files right in a folder, links to files among them; folders within it are left alone. Throws a FileProblem. */
export const filesIn = async (folder: string): Promise<readonly FoundFile[]> => {
  try {
    const names = (await readdir(folder, { withFileTypes: true })).filter((entry) => !entry.isDirectory());
    const found = await Promise.all(
      names.map(async ({ name }) => {
        const place = path.join(folder, name);
        // A link that leads nowhere, or a file that was removed just now, is no frame.
        const status = await stat(place).catch(() => null);
        return status?.isFile() ? [{ name, path: place, modified: status.mtimeMs }] : [];
      }),
    );
    return found.flat();
  } catch (error) {
    throw problem(folder, error);
  }
};

/** A whole file. Throws a FileProblem. */
export const readBytes = async (file: string): Promise<Uint8Array<ArrayBuffer>> => {
  try {
    return await readFile(file);
  } catch (error) {
    throw problem(file, error);
  }
};

/** A text file and the SHA-256 of its bytes, hexadecimal. Throws a FileProblem. */
export const readText = async (file: string): Promise<{ readonly text: string; readonly sha256: string }> => {
  const bytes = await readBytes(file);
  try {
    const text = new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    return { text, sha256: createHash("sha256").update(bytes).digest("hex") };
  } catch {
    throw new FileProblem(`${file} is no text in UTF-8`);
  }
};

/** True where there is a file, or a link to one. */
export const isFile = async (file: string): Promise<boolean> => (await stat(file).catch(() => null))?.isFile() === true;

/** True where two paths lead to the same file. */
export const isSameFile = async (a: string, b: string): Promise<boolean> => {
  const [left, right] = await Promise.all([a, b].map((file) => realpath(file).catch(() => path.resolve(file))));
  return left === right;
};

/** Throws a FileProblem where a file can't be written at all, before long work is done for it. */
export const checkWritable = async (file: string): Promise<void> => {
  const there = await stat(file).catch(() => null);
  if (there?.isDirectory()) throw new FileProblem(`${file} is a folder`);
  const folder = path.dirname(path.resolve(file));
  const status = await stat(folder).catch((error: unknown) => {
    throw problem(folder, error);
  });
  if (!status.isDirectory()) throw new FileProblem(`${folder} is no folder`);
};

/** Writes a whole file or nothing: a reader never sees half of it. Throws a FileProblem. */
export const writeText = async (file: string, text: string): Promise<void> => {
  try {
    const there = await stat(file).catch(() => null);
    // A pipe or a device can't be put in place of: it is written to.
    if (there !== null && !there.isFile()) {
      await writeFile(file, text);
      return;
    }
    const target = there === null ? path.resolve(file) : await realpath(file);
    const draft = `${target}.${process.pid}.part`;
    try {
      const handle = await open(draft, "wx");
      try {
        await handle.writeFile(text);
        await handle.sync();
      } finally {
        await handle.close();
      }
      await rename(draft, target);
    } catch (error) {
      await rm(draft, { force: true });
      throw error;
    }
  } catch (error) {
    throw problem(file, error);
  }
};
