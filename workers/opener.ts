import type { ColourChoice, Opener } from "../src/analysis/measurer.ts";
import { chooseChannel } from "../src/decode/channel.ts";
import { type Header, HEADER_BYTES, type HeaderProblem, readHeader } from "../src/decode/header.ts";
import type { Pixels, Problem } from "../src/decode/pixels.ts";
import { reducedSize, reduceToLuma } from "../src/decode/reduce.ts";
import { createPlane, type Plane } from "../src/measure/plane.ts";
import type { Workspace } from "../src/measure/workspace.ts";
import type { FrameFile } from "../src/protocol/index.ts";

/** What the opener needs of the machine it runs on. */
export interface Machine {
  /** The file's bytes from its start, all of them or `most`. Throws where it can't be read. */
  read(file: FrameFile, most?: number): Promise<Uint8Array<ArrayBuffer>>;
  /** Oriented pixels of a whole file, or why there are none. */
  decode(bytes: Uint8Array<ArrayBuffer>, header: Header, file: string): Promise<Pixels | Problem>;
  /** For a file that could not be used: waits a little and says whether it was being written just now. */
  stillWritten(file: FrameFile): Promise<boolean>;
}

const headerOf = async (machine: Machine, file: FrameFile): Promise<Header | HeaderProblem> => {
  const header = readHeader(await machine.read(file, HEADER_BYTES), file.file);
  return "problem" in header && header.needsMore ? readHeader(await machine.read(file), file.file) : header;
};

const lumaOf = async (
  machine: Machine,
  file: FrameFile,
  analysisWidth: number,
  place: Workspace["plane"] = createPlane,
  { channel, onBest }: ColourChoice = { channel: "luma" },
): Promise<Plane | Problem> => {
  const bytes = await machine.read(file);
  const header = readHeader(bytes, file.file);
  if ("problem" in header) return header;
  const pixels = await machine.decode(bytes, header, file.file);
  if ("problem" in pixels) return pixels;
  const { width, height } = reducedSize(pixels.width, pixels.height, analysisWidth);
  onBest?.(chooseChannel(pixels));
  return reduceToLuma(pixels, analysisWidth, place(width, height), channel);
};

/** Opens frames for those who measure. A frame that can't be used is told as a sentence that names its file. */
export const createOpener = (machine: Machine): Opener => {
  /** A camera that is still saving a frame leaves half of it for a while: that is waited for, not a damaged file. */
  const patiently = async <T extends object>(
    file: FrameFile,
    open: () => Promise<T | Problem>,
  ): Promise<T | Problem> => {
    for (;;) {
      let opened: T | Problem;
      try {
        opened = await open();
      } catch (error) {
        opened = { problem: `${file.file} can't be read: ${error instanceof Error ? error.message : String(error)}` };
      }
      if (!("problem" in opened) || !(await machine.stillWritten(file))) return opened;
    }
  };
  return {
    header: (file) =>
      patiently(file, async () => {
        const header = await headerOf(machine, file);
        if ("problem" in header) return header;
        const { width, height, exifTime, note, lumaStep } = header;
        return { frame: file.frame, width, height, exifTime, note, lumaStep };
      }),
    luma: (file, analysisWidth, place, colour) =>
      patiently(file, () => lumaOf(machine, file, analysisWidth, place, colour)),
  };
};
