import { Zip, ZipPassThrough } from "fflate";

// Where the layers of a shot held still go: one zip, or a folder of their own. Either takes one file at a time and keeps none.

/** Takes files one by one. */
export interface Place {
  readonly name: string;
  add(name: string, bytes: Uint8Array<ArrayBuffer>): Promise<void>;
  /** Ends well: what was written stays. */
  close(): Promise<void>;
  /** Ends early. */
  abandon(): Promise<void>;
}

interface Pickers {
  showSaveFilePicker?: (options: object) => Promise<FileSystemFileHandle>;
  showDirectoryPicker?: (options: object) => Promise<FileSystemDirectoryHandle>;
}
const pickers = (): Pickers => window as Pickers;

export const canPickFolder = (): boolean => pickers().showDirectoryPicker !== undefined;

const isDismissed = (error: unknown): boolean => error instanceof DOMException && error.name === "AbortError";

/** A sink of bytes in the order in which they come. */
interface Sink {
  write(bytes: Uint8Array<ArrayBuffer>): Promise<void>;
  close(): Promise<void>;
  abort(): Promise<void>;
}

/** Where the browser can't write to a file as it goes, it keeps the pieces itself, on disk if there are many, and saves them at the end. */
function downloadSink(name: string): Sink {
  let pieces: Blob[] = [];
  return {
    write(bytes) {
      pieces.push(new Blob([bytes]));
      return Promise.resolve();
    },
    close() {
      const address = URL.createObjectURL(new Blob(pieces, { type: "application/zip" }));
      const link = document.createElement("a");
      link.href = address;
      link.download = name;
      link.click();
      pieces = [];
      setTimeout(() => URL.revokeObjectURL(address), 60_000);
      return Promise.resolve();
    },
    abort() {
      pieces = [];
      return Promise.resolve();
    },
  };
}

/** A zip that is written while it is made; null where the person chose no place for it. Pictures are packed already. */
export async function zipPlace(name: string): Promise<Place | null> {
  let sink: Sink;
  const pick = pickers().showSaveFilePicker;
  if (pick) {
    try {
      const handle = await pick({
        suggestedName: name,
        types: [{ description: "Zip", accept: { "application/zip": [".zip"] } }],
      });
      sink = await handle.createWritable();
    } catch (error) {
      if (isDismissed(error)) return null;
      throw error;
    }
  } else sink = downloadSink(name);
  let writing: Promise<void> = Promise.resolve();
  let failed: Error | null = null;
  const zip = new Zip((error, bytes) => {
    if (error) failed = error;
    else writing = writing.then(() => sink.write(bytes as Uint8Array<ArrayBuffer>));
  });
  const settle = async () => {
    await writing;
    if (failed !== null) throw failed;
  };
  return {
    name,
    async add(file, bytes) {
      const entry = new ZipPassThrough(file);
      zip.add(entry);
      entry.push(bytes, true);
      await settle();
    },
    async close() {
      zip.end();
      await settle();
      await sink.close();
    },
    async abandon() {
      zip.terminate();
      await writing.catch(() => undefined);
      await sink.abort();
    },
  };
}

/**
 * A folder of the person's choice; null where none was chosen. The folder of the frames is refused, and so is writing
 * over a file that is there: nothing of the shot may change.
 * @param frames names of the shot's own files
 */
export async function folderPlace(frames: readonly string[]): Promise<Place | null> {
  let folder: FileSystemDirectoryHandle;
  try {
    const pick = pickers().showDirectoryPicker;
    if (!pick) return null;
    folder = await pick({ id: "held", mode: "readwrite" });
  } catch (error) {
    if (isDismissed(error)) return null;
    throw error;
  }
  const there = new Set<string>();
  for await (const name of (folder as unknown as { keys(): AsyncIterable<string> }).keys()) there.add(name);
  const own = frames.find((name) => there.has(name));
  if (own !== undefined)
    throw new Error(`${folder.name} holds the shot's own frames (${own}). Choose an empty folder for the layers.`);
  return {
    name: folder.name,
    async add(file, bytes) {
      if (there.has(file)) throw new Error(`${file} is in ${folder.name} already, and nothing is written over.`);
      const stream = await (await folder.getFileHandle(file, { create: true })).createWritable();
      await stream.write(bytes);
      await stream.close();
    },
    close: () => Promise.resolve(),
    abandon: () => Promise.resolve(),
  };
}
