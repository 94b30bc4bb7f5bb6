import type { FrameSequence } from "../../model/index.ts";
import { fileOf, type PickedFolder } from "./picked.ts";

/** What a folder of frames is known again by. */
export interface Prints {
  /** SHA-256 of the first frame's bytes, hexadecimal: stays while the shot is being taken. */
  readonly start: string;
  /** SHA-256 of all names and sizes and of the bytes of the first and last frame: stays while nothing changes. */
  readonly whole: string;
}

const hex = (bytes: ArrayBuffer) =>
  [...new Uint8Array(bytes)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
const sha256 = (bytes: BufferSource) => crypto.subtle.digest("SHA-256", bytes).then(hex);

/** @throws where the first or the last frame can't be read */
export async function printsOf(folder: PickedFolder, sequence: FrameSequence): Promise<Prints> {
  const sources = new Map(folder.files.map((file) => [file.name, file]));
  const files = await Promise.all(
    sequence.frames.map(async ({ file }) => {
      const picked = sources.get(file);
      if (picked === undefined) throw new Error(`${file} is not in the folder`);
      return fileOf(picked);
    }),
  );
  const bytesOf = async (file: File) => sha256(await file.arrayBuffer());
  const start = await bytesOf(files[0]);
  const end = await bytesOf(files[files.length - 1]);
  const list = files.map((file) => `${file.name} ${file.size}`).join("\n");
  return { start, whole: await sha256(new TextEncoder().encode(`${list}\n${start}\n${end}`)) };
}
