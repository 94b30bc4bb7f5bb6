import { type FrameSequence, serialiseSheet, parseSheet, type ShotRecord } from "../../model/index.ts";
import { SHEET_FILE } from "../../model/conventions.ts";
import type { SheetRecord } from "../../store/port.ts";
import { type TextFile, textFileOf } from "../opening/documents.ts";
import { type Prints, printsOf } from "../opening/fingerprint.ts";
import type { PickedFolder } from "../opening/picked.ts";
import { addNotice } from "./session.ts";
import { listKept, opened, readKept } from "./storage.ts";

// Which shot of the store a folder of frames is, and which of two sheets counts.

/** A folder, as far as the store knows it. */
export interface KnownFolder {
  /** Id of the shot in the store, there already or not. */
  readonly id: string;
  readonly prints: Prints;
  /** The sheet that counts: the folder's, or the one that it was edited into here. */
  readonly sheet: TextFile | null;
}

/** A shot's id comes from its frames, so that two stores give the same shot the same one. */
const idOf = (prints: Prints, sequence: FrameSequence) =>
  `${sequence.name.replace(/[^\w-]+/gu, "-").replace(/^-|-$/gu, "") || "shot"}-${prints.start.slice(0, 12)}`;

async function sameFolder(folder: PickedFolder, id: string): Promise<boolean> {
  const { handle } = folder;
  if (handle === undefined) return false;
  const place = (await readKept("place", id))?.value.handle;
  return place instanceof FileSystemDirectoryHandle && place.isSameEntry(handle);
}

async function shotOf(folder: PickedFolder, sequence: FrameSequence, prints: Prints): Promise<ShotRecord | null> {
  const shots = (await listKept("shot")).map(({ value }) => value);
  const whole = shots.find(({ fingerprint }) => fingerprint === prints.whole);
  if (whole) return whole;
  const alike = shots.filter((shot) => shot.sequence === sequence.name && shot.folder === folder.name);
  for (const shot of alike) if (shot.startPrint === prints.start || (await sameFolder(folder, shot.id))) return shot;
  return null;
}

/** The folder's sheet, unless the kept one was edited here. */
async function sheetThatCounts(
  file: TextFile | null,
  kept: SheetRecord | null,
  sequence: FrameSequence,
): Promise<TextFile | null> {
  if (kept === null || (file !== null && !kept.edited)) return file;
  const own = await textFileOf(file?.name ?? SHEET_FILE, kept.text);
  if (file === null || file.sha256 === kept.from) return own;
  const frames = sequence.frames.map(({ frame }) => frame);
  /** What a sheet says, whatever its layout; the text itself where it is refused. */
  const meaningOf = (text: string) => {
    const read = parseSheet(text, "sheet", { frames, width: null, height: null });
    return "sheet" in read ? serialiseSheet(read.sheet) : text;
  };
  if (meaningOf(file.text) === meaningOf(kept.text)) return file;
  addNotice("There are two sheets of this shot", [
    `${file.name} in the folder was changed, and so was the sheet here (${kept.changed.slice(0, 10)}). The one from here is used.`,
    `To use the folder's, drop ${file.name} on this page; save the sheet first if you want to keep it.`,
  ]);
  return own;
}

/** Null where nothing is kept. */
export async function identify(
  folder: PickedFolder,
  sequence: FrameSequence,
  sheet: TextFile | null,
): Promise<KnownFolder | null> {
  if ((await opened) === null) return null;
  const prints = await printsOf(folder, sequence);
  const shot = await shotOf(folder, sequence, prints);
  const id = shot?.id ?? idOf(prints, sequence);
  const kept = shot === null ? null : await readKept("sheet", shot.id);
  return { id, prints, sheet: await sheetThatCounts(sheet, kept?.value ?? null, sequence) };
}
