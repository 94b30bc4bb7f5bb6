import type { Opener } from "../../src/analysis/measurer.ts";
import type { FrameFile } from "../../src/protocol/index.ts";
import { createOpener } from "../opener.ts";
import { decodeInPage } from "./pixels.ts";

/** A file that changed so recently may still be growing. */
const SETTLED_MS = 4_000;
const LOOK_AGAIN_MS = 400;

/** A file handle gives the file as it is now; a plain file is what it was when it was picked. */
const fileNow = (file: FrameFile): Promise<File> => {
  const { source } = file;
  if (source instanceof File) return Promise.resolve(source);
  if (source instanceof FileSystemFileHandle) return source.getFile();
  throw new Error("its place is not known");
};

const read = async (file: FrameFile, most?: number): Promise<Uint8Array<ArrayBuffer>> => {
  const whole = await fileNow(file);
  return new Uint8Array(await (most === undefined ? whole : whole.slice(0, most)).arrayBuffer());
};

/** True after a short wait where the file changed within the last seconds; only a handle can tell that it has grown. */
const stillWritten = async (file: FrameFile): Promise<boolean> => {
  if (!(file.source instanceof FileSystemFileHandle)) return false;
  const age = await file.source.getFile().then(
    ({ lastModified }) => Date.now() - lastModified,
    () => Number.POSITIVE_INFINITY,
  );
  if (age < -SETTLED_MS || age > SETTLED_MS) return false;
  await new Promise((resolve) => setTimeout(resolve, LOOK_AGAIN_MS));
  return true;
};

/** Files of this many bytes are decoded one at a time, whatever the number of workers: 24 megapixels take some 400 MB. */
const LARGE_BYTES = 1_200_000;

/** Opens frames from files and file handles. */
export const pageOpener = (): Opener => {
  const opener = createOpener({ read, decode: decodeInPage, stillWritten });
  return {
    ...opener,
    async luma(file, analysisWidth, place, colour) {
      const size = await fileNow(file).then(
        (found) => found.size,
        () => 0,
      );
      const open = () => opener.luma(file, analysisWidth, place, colour);
      return size > LARGE_BYTES ? navigator.locks.request("holdfast-decode", open) : open();
    },
  };
};
