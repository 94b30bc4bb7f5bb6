/** One file that a person gave the page: dropped, chosen in a dialog, or found in a folder. */
export interface Picked {
  readonly name: string;
  /** Handles are asked for the file anew each time, since a camera may still be writing it. */
  readonly source: File | FileSystemFileHandle;
  readonly modified: number | null;
}

export interface PickedFolder {
  readonly name: string;
  readonly files: readonly Picked[];
  /** The browser's own way back to the folder, where it gives one: it can be kept, and asked again. */
  readonly handle?: FileSystemDirectoryHandle;
  /** Name of the sample, where it is one. */
  readonly sample?: string;
}

export const fileOf = async (picked: Picked): Promise<File> =>
  picked.source instanceof File ? picked.source : picked.source.getFile();

const pickedFile = (file: File): Picked => ({ name: file.name, source: file, modified: file.lastModified });

async function pickedHandle(handle: FileSystemFileHandle): Promise<Picked> {
  const file = await handle.getFile();
  return { name: handle.name, source: handle, modified: file.lastModified };
}

/** The files right in a folder; folders within it are left alone. */
export async function folderOfHandle(handle: FileSystemDirectoryHandle): Promise<PickedFolder> {
  const handles: FileSystemFileHandle[] = [];
  for await (const entry of handle.values()) if (entry.kind === "file") handles.push(entry);
  return { name: handle.name, files: await Promise.all(handles.map(pickedHandle)), handle };
}

/** From an `<input webkitdirectory>` or a plain file input. */
export function folderOfFiles(files: readonly File[]): PickedFolder {
  const path = files[0]?.webkitRelativePath ?? "";
  const name = path.includes("/") ? path.slice(0, path.indexOf("/")) : "";
  const here = files.filter((file) => file.webkitRelativePath.split("/").length <= 2);
  return { name, files: here.map(pickedFile) };
}

const filesOfEntry = (directory: FileSystemDirectoryEntry): Promise<File[]> =>
  new Promise((resolve, reject) => {
    const reader = directory.createReader();
    const found: Promise<File>[] = [];
    const more = () =>
      reader.readEntries((entries) => {
        // The reader gives a hundred at a time, and none at the end.
        if (entries.length === 0) {
          Promise.all(found).then(resolve, reject);
          return;
        }
        for (const entry of entries) {
          if (entry.isFile) found.push(new Promise((file, fail) => (entry as FileSystemFileEntry).file(file, fail)));
        }
        more();
      }, reject);
    more();
  });

/** The handle of a dropped folder, where the browser gives one: it can be kept, a dropped file can't. */
async function handleOfDrop(item: DataTransferItem | undefined): Promise<FileSystemDirectoryHandle | null> {
  if (item === undefined || !("getAsFileSystemHandle" in item)) return null;
  const ask = item.getAsFileSystemHandle as (this: DataTransferItem) => Promise<FileSystemHandle | null>;
  const handle = await ask.call(item).catch(() => null);
  return handle?.kind === "directory" ? (handle as FileSystemDirectoryHandle) : null;
}

/** What was dropped: one folder, or loose files. Must be called while the event is being handled. */
export function folderOfDrop(transfer: DataTransfer): Promise<PickedFolder> {
  const items = [...transfer.items].filter((item) => item.kind === "file");
  const entries = items.map((item) => item.webkitGetAsEntry());
  const files = items.map((item) => item.getAsFile()).filter((file) => file !== null);
  const directory = entries.find((entry) => entry?.isDirectory);
  if (!directory) return Promise.resolve(folderOfFiles(files));
  const handle = handleOfDrop(items[entries.indexOf(directory)]);
  return filesOfEntry(directory as FileSystemDirectoryEntry).then(async (inside) => {
    const kept = await handle;
    return { name: directory.name, files: inside.map(pickedFile), ...(kept ? { handle: kept } : {}) };
  });
}
