import { folderOfFiles, folderOfHandle, type PickedFolder } from "./picked.ts";

declare global {
  interface Window {
    /** Not in every browser, and so not in the language's own library. */
    showDirectoryPicker?: (options?: {
      readonly id?: string;
      readonly mode?: "read";
    }) => Promise<FileSystemDirectoryHandle>;
  }
}

const isGivenUp = (error: unknown) => error instanceof DOMException && error.name === "AbortError";

function byInput(prepare: (input: HTMLInputElement) => void): Promise<PickedFolder | null> {
  return new Promise((resolve) => {
    const input = document.createElement("input");
    input.type = "file";
    prepare(input);
    input.addEventListener("change", () => resolve(input.files?.length ? folderOfFiles([...input.files]) : null));
    input.addEventListener("cancel", () => resolve(null));
    input.click();
  });
}

/** Asks for the folder of a shot; null where the person gave up. */
export async function pickFolder(): Promise<PickedFolder | null> {
  if (!window.showDirectoryPicker) {
    return byInput((input) => {
      input.webkitdirectory = true;
    });
  }
  try {
    return await folderOfHandle(await window.showDirectoryPicker({ id: "shot", mode: "read" }));
  } catch (error) {
    if (isGivenUp(error)) return null;
    throw error;
  }
}

/** Asks for a report or a sheet. */
export const pickFile = (): Promise<PickedFolder | null> =>
  byInput((input) => {
    input.accept = ".json,application/json";
  });

/** Asks for single pictures; null where the person gave up. */
export const pickPictures = (): Promise<PickedFolder | null> =>
  byInput((input) => {
    input.multiple = true;
    input.accept = "image/jpeg,image/png";
  });

/** Asks for an export. */
export const pickArchive = (): Promise<PickedFolder | null> =>
  byInput((input) => {
    input.accept = ".zip,application/zip";
  });
