import { open, readFile, stat } from "node:fs/promises";
import { setTimeout as wait } from "node:timers/promises";
import type { Opener } from "../../src/analysis/measurer.ts";
import type { FrameFile } from "../../src/protocol/index.ts";
import { createOpener } from "../opener.ts";
import { decodeWithSharp } from "./pixels.ts";

/** A file that changed so recently may still be growing. */
const SETTLED_MS = 4_000;
const LOOK_AGAIN_MS = 400;

const pathOf = (file: FrameFile): string => {
  if (typeof file.source !== "string") throw new Error("its place is not known");
  return file.source;
};

const read = async (file: FrameFile, most?: number): Promise<Uint8Array<ArrayBuffer>> => {
  const path = pathOf(file);
  if (most === undefined) return new Uint8Array(await readFile(path));
  const handle = await open(path);
  try {
    const bytes = new Uint8Array(most);
    let filled = 0;
    for (;;) {
      const { bytesRead } = await handle.read(bytes, filled, most - filled, filled);
      filled += bytesRead;
      if (bytesRead === 0 || filled === most) return bytes.subarray(0, filled);
    }
  } finally {
    await handle.close();
  }
};

/** True after a short wait where the file changed within the last seconds; a clock that runs ahead doesn't count. */
const stillWritten = async (file: FrameFile): Promise<boolean> => {
  const age = await stat(pathOf(file)).then(
    ({ mtimeMs }) => Date.now() - mtimeMs,
    () => Number.POSITIVE_INFINITY,
  );
  if (age < -SETTLED_MS || age > SETTLED_MS) return false;
  await wait(LOOK_AGAIN_MS);
  return true;
};

/** Opens frames from files, `source` being their path. */
export const fileOpener = (): Opener => createOpener({ read, decode: decodeWithSharp, stillWritten });
