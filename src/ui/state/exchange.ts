import { carryOut, type ImportMode, type ImportPlan, planImport } from "../../store/archive/plan-import.ts";
import { type Archive, readArchive } from "../../store/archive/read-archive.ts";
import { writeArchive } from "../../store/archive/write-archive.ts";
import { pickArchive } from "../opening/pick.ts";
import { fileOf, type Picked } from "../opening/picked.ts";
import { saveBlob } from "../opening/save.ts";
import { flush, tellTaken } from "./keeping.ts";
import { openKept } from "./open-kept.ts";
import { leaveShot } from "./removing.ts";
import { addNotice, session } from "./session.ts";
import { opened } from "./storage.ts";
import { createStore } from "./store.ts";

interface Exchange {
  readonly doing: "exporting" | "reading" | "importing" | null;
  readonly done: number;
  readonly total: number;
  /** An export that was read, and what each way of importing it would do; null: nothing is asked. */
  readonly asked: {
    readonly file: string;
    readonly archive: Archive;
    readonly plans: Readonly<Record<ImportMode, ImportPlan>>;
  } | null;
}

/** Exports and imports that are under way. */
export const exchange = createStore<Exchange>({ doing: null, done: 0, total: 0, asked: null });

/** The longest piece of work between two breaths of the page, ms. */
const PIECE_MS = 12;

/** Lets the page live between pieces of work. */
function createPause(): () => Promise<void> {
  let since = performance.now();
  return () => {
    if (performance.now() - since < PIECE_MS) return Promise.resolve();
    return new Promise((resolve) => {
      setTimeout(() => {
        since = performance.now();
        resolve();
      });
    });
  };
}

const said = (error: unknown) => (error instanceof Error ? error.message : String(error));
const onProgress = (done: number, total: number) => exchange.set({ done, total });

/** Saves everything, or one shot, as one file. */
export async function exportStore(shot: { readonly id: string; readonly name: string } | null): Promise<void> {
  const store = await opened;
  if (store === null || exchange.get().doing !== null) return;
  exchange.set({ doing: "exporting", done: 0, total: 0 });
  try {
    await flush();
    const made = new Date().toISOString();
    const holdfast = session.get().report?.made.holdfast ?? "";
    const pause = createPause();
    const pieces = await writeArchive(store, { holdfast, made, shot: shot?.id ?? null, pause, onProgress });
    const what = shot === null ? "everything" : shot.name.replace(/[^\w.-]+/gu, "_");
    saveBlob(`holdfast-${what}-${made.slice(0, 10)}.zip`, new Blob([...pieces], { type: "application/zip" }));
  } catch (error) {
    addNotice("The export failed", [said(error)]);
  } finally {
    exchange.set({ doing: null });
  }
}

export async function chooseImport(): Promise<void> {
  const folder = await pickArchive();
  if (folder?.files[0]) await readImport(folder.files[0]);
}

/** Reads an export and works out what it would do; nothing is written until a person says so. */
export async function readImport(picked: Picked): Promise<void> {
  const store = await opened;
  if (store === null) {
    addNotice("Nothing can be imported", ["This browser keeps nothing for this page."]);
    return;
  }
  if (exchange.get().doing !== null) return;
  exchange.set({ doing: "reading", done: 0, total: 0, asked: null });
  try {
    await flush();
    const pause = createPause();
    const bytes = new Uint8Array(await (await fileOf(picked)).arrayBuffer());
    const archive = await readArchive(bytes, picked.name, { pause });
    if ("refusals" in archive) {
      addNotice("That can't be imported", archive.refusals);
      return;
    }
    const merge = await planImport(store, archive.records, "merge", pause);
    const replace = await planImport(store, archive.records, "replace", pause);
    exchange.set({ asked: { file: picked.name, archive, plans: { merge, replace } } });
  } catch (error) {
    addNotice("That can't be imported", [`${picked.name}: ${said(error)}`]);
  } finally {
    exchange.set({ doing: null });
  }
}

export const dropImport = (): void => exchange.set({ asked: null });

/** Does what was shown. */
export async function doImport(mode: ImportMode): Promise<void> {
  const store = await opened;
  const { asked } = exchange.get();
  if (store === null || asked === null) return;
  exchange.set({ doing: "importing", done: 0, total: asked.plans[mode].batches.length });
  const { done, total, failed } = await carryOut(store, asked.plans[mode], onProgress, createPause());
  exchange.set({ doing: null, asked: null });
  if (failed) {
    const why =
      failed.code === "changed"
        ? "another tab wrote at the same time; import it once more"
        : failed.code === "full"
          ? "the disk is full; make room and import it once more"
          : failed.detail;
    addNotice("The import is not whole", [
      `${done} of ${total} parts are in: ${why}. What was here before is not lost.`,
    ]);
  }
  if (asked.archive.refused.length > 0) addNotice(`Left out of ${asked.file}`, asked.archive.refused);
  const { id } = session.get();
  // What stands on other screens would else be written over what came in.
  for (const kind of ["verdict", "workshop"] as const) tellTaken(kind);
  if (id === null) return;
  // What is open may be another one now, or none.
  if ((await store.read("shot", id)) === null) leaveShot();
  else await openKept(id);
}
