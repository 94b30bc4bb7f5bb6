import { eachPaintOut } from "../../client/paint-outs.ts";
import { framesNow } from "../state/looking.ts";
import { heldChoice, redrawShot } from "../state/redraws.ts";
import { session } from "../state/session.ts";
import { createStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { folderPlace, type Place, zipPlace } from "./held-files.ts";

/** How saving the layers of what is held still goes. */
export const heldSaving = createStore<{
  readonly phase: "no" | "running" | "done" | "failed" | "cancelled";
  readonly done: number;
  readonly total: number;
  /** Null until a frame is through. */
  readonly secondsLeft: number | null;
  readonly message: string;
}>({ phase: "no", done: 0, total: 0, secondsLeft: null, message: "" });

let running: AbortController | null = null;

/** The frames that layers are saved of: the range, else those of the findings that are held still. */
export function framesToHold(): readonly number[] {
  const { range, flag: chosen } = view.get();
  const all = framesNow();
  if (range !== null) return all.filter((frame) => range.from <= frame && frame <= range.to);
  const flags = session.get().strips?.flags ?? [];
  const held = flags.filter(({ id }) => chosen === null || id === chosen);
  const from = Math.min(...held.map((flag) => flag.from));
  const to = Math.max(...held.map((flag) => flag.to));
  return all.filter((frame) => from <= frame && frame <= to);
}

const encoder = new TextEncoder();

/** What is in the files, and where they can't be trusted: a text that goes with them. */
function noteOf(shot: string, frames: readonly number[], doubts: ReadonlyMap<number, readonly string[]>): string {
  const { camera, parts } = heldChoice();
  const report = session.get().report;
  const names = (parts ?? []).map((id) => report?.parts.find((part) => part.id === id)?.name ?? id);
  const held = [...names, ...(camera === null ? [] : [`the camera as in frame ${camera}`])].join(", ");
  const doubtful = frames.flatMap((frame) => (doubts.get(frame) ?? []).map((doubt) => `Frame ${frame}: ${doubt}.`));
  return [
    `${shot}: layers that hold still: ${held}.`,
    "Each PNG has the size of its frame and alpha. Lay it over the frame of the same number: colour is not multiplied with alpha, no colour profile is applied, values are as in the frame's file.",
    "The measured drift is taken back by resampling with cubic splines. The frames themselves are as they were.",
    doubtful.length === 0 ? "Nothing measured speaks against any of them." : "Where they can't be trusted:",
    ...doubtful,
    "",
  ].join("\r\n");
}

export const saveHeldZip = (): Promise<void> =>
  save(() => zipPlace(`${(session.get().shot ?? "shot").replace(/[^\w.-]+/gu, "_")}_held.zip`));

export const saveHeldFolder = (): Promise<void> =>
  save(() => folderPlace([...(session.get().files?.values() ?? [])].map(({ file }) => file)));

export const cancelHeld = (): void => running?.abort();

async function save(open: () => Promise<Place | null>): Promise<void> {
  const shot = redrawShot();
  if (!shot || running) return;
  const frames = framesToHold();
  const choice = heldChoice();
  const name = session.get().shot ?? "shot";
  const controller = new AbortController();
  running = controller;
  let place: Place | null = null;
  try {
    place = await open();
    if (place === null) return;
    const into = place;
    heldSaving.set({ phase: "running", done: 0, total: frames.length, secondsLeft: null, message: "" });
    const started = performance.now();
    const doubts = new Map<number, readonly string[]>();
    const digits = Math.max(4, `${frames.at(-1) ?? 0}`.length);
    const answer = await eachPaintOut(shot, frames, choice, controller.signal, async (frame, { png, doubts: told }) => {
      doubts.set(frame, told);
      await into.add(`${name.replace(/[^\w.-]+/gu, "_")}_held_${`${frame}`.padStart(digits, "0")}.png`, png);
      const done = heldSaving.get().done + 1;
      const each = (performance.now() - started) / 1000 / done;
      heldSaving.set({ done, secondsLeft: each * (frames.length - done) });
    });
    if (!answer.ok) throw new Error(answer.code === "cancelled" ? "" : answer.detail);
    await into.add("held-still.txt", encoder.encode(noteOf(name, frames, doubts)));
    await into.close();
    const doubtful = frames.filter((frame) => (doubts.get(frame)?.length ?? 0) > 0).length;
    heldSaving.set({
      phase: "done",
      message: `${frames.length} layers saved in ${into.name}${doubtful > 0 ? `; ${doubtful} of them with doubts, told in held-still.txt` : ""}`,
    });
  } catch (error) {
    await place?.abandon();
    if (controller.signal.aborted) heldSaving.set({ phase: "cancelled", message: "Cancelled; nothing was kept" });
    else
      heldSaving.set({
        phase: "failed",
        message: `The layers could not be saved: ${error instanceof Error ? error.message : String(error)}`,
      });
  } finally {
    running = null;
  }
}
