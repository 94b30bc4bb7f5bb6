import { findSequences, chooseSequence, parseSheet, type Sheet, type ShotRecord } from "../../model/index.ts";
import { SHEET_FILE } from "../../model/conventions.ts";
import { type TextFile, textFileOf } from "../opening/documents.ts";
import { printsOf } from "../opening/fingerprint.ts";
import { pickFolder } from "../opening/pick.ts";
import { folderOfHandle, type PickedFolder } from "../opening/picked.ts";
import { fetchSample } from "../opening/sample.ts";
import { stripsOf } from "../strips/strips.ts";
import { attachShot, closeShot, lookAt, start } from "./checking.ts";
import { replace, sawRevision } from "./keeping.ts";
import { setKept } from "./kept-shot.ts";
import { pictures } from "./pictures.ts";
import { addNotice, session } from "./session.ts";
import { readKept } from "./storage.ts";
import { createStore } from "./store.ts";

declare global {
  interface FileSystemHandle {
    /** Not in every browser, and so not in the language's own library; where handles can be kept, these are there. */
    queryPermission(options: { readonly mode: "read" }): Promise<PermissionState>;
    requestPermission(options: { readonly mode: "read" }): Promise<PermissionState>;
  }
}

// A shot that is opened from the store: its report at once, its frames as soon as the browser may read them.

/**
 * "ask": the browser wants a click; "denied": it was clicked, and somebody said no; "gone": the folder isn't there; "point":
 * nobody knows.
 */
type Away = "ask" | "denied" | "gone" | "point";

/** Where the frames of the shot that is open are; null: they are there, or none are asked for. */
export const framesAway = createStore<{
  readonly why: Away | null;
  readonly folder: string;
}>({ why: null, folder: "" });

let record: ShotRecord | null = null;
let handle: FileSystemDirectoryHandle | null = null;
/** The sheet's file, for checking again. */
let sheetFile: TextFile | null = null;

const said = (error: unknown) => (error instanceof Error ? error.message : String(error));

/** In the same tab a page that is loaded again goes on where it was. */
const OPEN = "holdfast.open";
function remember(id: string | null): void {
  try {
    if (id === null) sessionStorage.removeItem(OPEN);
    else sessionStorage.setItem(OPEN, id);
  } catch {
    // Without it the shot is one click away.
  }
}

async function sheetOf(shot: ShotRecord, frames: readonly number[]): Promise<Sheet | null> {
  const kept = await readKept("sheet", shot.id);
  sheetFile = null;
  if (kept === null) return null;
  sawRevision("sheet", shot.id, kept.revision);
  sheetFile = await textFileOf(SHEET_FILE, kept.value.text);
  const read = parseSheet(kept.value.text, `the sheet of ${shot.name}`, {
    frames: frames as Parameters<typeof parseSheet>[2]["frames"],
    width: shot.width,
    height: shot.height,
  });
  if ("sheet" in read) return read.sheet;
  addNotice(`The sheet of ${shot.name} is refused`, read.refusals);
  return null;
}

/** Opens a shot of the store. */
export async function openKept(id: string): Promise<void> {
  const phase = session.get().phase;
  session.set({ phase: "reading" });
  try {
    const shot = (await readKept("shot", id))?.value ?? null;
    if (shot === null) throw new Error("It isn't in the store any more.");
    const report = (await readKept("report", id))?.value.report ?? null;
    const sheet = await sheetOf(shot, report?.shot.frames ?? []);
    const place = (await readKept("place", id))?.value.handle;
    closeShot();
    pictures.clear();
    record = shot;
    handle = place instanceof FileSystemDirectoryHandle ? place : null;
    setKept(id, shot.production, report, sheet);
    session.set({
      phase: report === null ? "reading" : "checked",
      shot: shot.name,
      id,
      files: null,
      sheet,
      old: null,
      report,
      strips: report && stripsOf(report, sheet),
      blank: false,
      cancelled: false,
      failure: null,
    });
    if (report) lookAt(report);
    remember(id);
    await findFrames();
  } catch (error) {
    session.set({ phase: phase === "reading" ? "empty" : phase });
    addNotice("That shot could not be opened", [said(error)]);
    if (session.get().report === null) remember(null);
  }
}

const setAway = (why: Away | null) => framesAway.set({ why, folder: record?.folder ?? "" });

async function findFrames(): Promise<void> {
  const shot = record;
  if (shot === null) return;
  if (shot.sample != null) {
    await attach(await fetchSample(shot.sample));
    return;
  }
  if (handle === null) {
    setAway("point");
    return;
  }
  const asked = await handle.queryPermission({ mode: "read" });
  if (asked === "granted") await readHandle(handle);
  else setAway("ask");
}

async function readHandle(from: FileSystemDirectoryHandle): Promise<void> {
  let folder: PickedFolder;
  try {
    folder = await folderOfHandle(from);
  } catch {
    setAway("gone");
    return;
  }
  await attach(folder);
}

/** Gives the open shot its frames, if they are its own. */
async function attach(folder: PickedFolder): Promise<void> {
  const shot = record;
  if (shot === null || session.get().id !== shot.id) return;
  const found = findSequences(folder.files.map((file) => file.name));
  const chosen = chooseSequence(found, shot.sequence);
  if ("error" in chosen) {
    setAway(handle === null ? "point" : "gone");
    addNotice(`These are not the frames of ${shot.name}`, [`${folder.name}: ${chosen.error}`]);
    return;
  }
  const { sequence, warnings } = chosen;
  const prints = await printsOf(folder, sequence);
  const names = new Set(sequence.frames.map(({ file }) => file));
  // A shot that is known by its report alone is known again by the names of its frames.
  const isNamed = session.get().report?.frames.every(({ file }) => names.has(file)) === true;
  const isOwn =
    shot.fingerprint === null ? isNamed : prints.start === shot.startPrint || prints.whole === shot.fingerprint;
  if (!isOwn) {
    setAway(handle === null ? "point" : "gone");
    addNotice(`These are not the frames of ${shot.name}`, [
      `The first frame in ${folder.name} is another picture than the one that was checked. To check it as a shot of its own, open the folder.`,
    ]);
    return;
  }
  const known = { id: shot.id, prints, sheet: sheetFile };
  const open = { folder, sequence, warnings, sheet: sheetFile, known };
  setAway(null);
  if (folder.handle && folder.handle !== handle) {
    handle = folder.handle;
    const place = { id: shot.id, shot: shot.id, folder: folder.name, handle, changed: new Date().toISOString() };
    replace("place", shot.id, () => place);
  }
  if (session.get().report === null) {
    start(open);
    return;
  }
  attachShot(open);
  if (shot.fingerprint !== null && prints.whole !== shot.fingerprint) {
    addNotice(`The frames of ${shot.name} changed`, [
      `There are ${sequence.frames.length} now, ${shot.frameCount} when it was checked. Check it again to see what they show.`,
    ]);
  }
}

/** Asks the browser for the folder that is known; by a click, as browsers want it. */
export async function showFrames(): Promise<void> {
  if (handle === null) return pointAtFolder();
  const answer = await handle.requestPermission({ mode: "read" });
  if (answer === "granted") await readHandle(handle);
  else setAway("denied");
}

/** The folder was moved, or nobody knows where it is: a person shows it. */
export async function pointAtFolder(): Promise<void> {
  try {
    const folder = await pickFolder();
    if (folder) await attach(folder);
  } catch (error) {
    addNotice("That folder could not be opened", [said(error)]);
  }
}

/** Remembers which shot is open, and opens it again where the page was only loaded anew. */
export function keepOpen(): void {
  let before: string | null = null;
  try {
    before = sessionStorage.getItem(OPEN);
  } catch {
    // As if it were the first time.
  }
  session.listen(() => {
    const { id, phase } = session.get();
    if (phase === "reading" || phase === "empty") return;
    if (id !== record?.id) setAway(null);
    remember(id);
  });
  if (before !== null) void openKept(before);
}
