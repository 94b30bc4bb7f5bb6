import { check } from "../../client/check.ts";
import { ANALYSIS_WIDTH, findSequences } from "../../model/index.ts";
import type { FrameFile } from "../../protocol/index.ts";
import type { Pass, Plate } from "../../reports/safe-to-strike.ts";
import { frameNumber } from "../../units/index.ts";
import { pickFolder, pickPictures } from "../opening/pick.ts";
import { openShot } from "../state/checking.ts";
import { addNotice, session } from "../state/session.ts";
import { createStore } from "../state/store.ts";

interface Plates {
  /** Shot that they were added for: another shot starts with none. */
  readonly shot: string | null;
  readonly plates: readonly Plate[];
  /** Passes that lie in folders of their own. */
  readonly passes: readonly Pass[];
  /** What is being measured, or null. */
  readonly measuring: string | null;
}

/** Frames of the shot before its last one that are measured with the plates. */
const BESIDE = 4;

const none: Plates = { shot: null, plates: [], passes: [], measuring: null };
export const plates = createStore<Plates>(none);

/** What was added for the shot that is open. */
export const platesNow = (): Plates => (plates.get().shot === session.get().shot ? plates.get() : none);

/** Other sequences that lie in the shot's own folder: the passes that were shot with it. */
export function passesBeside(): readonly Pass[] {
  const open = openShot();
  if (!open) return [];
  const own = new Set(open.sequence.frames.map(({ file }) => file));
  return findSequences(open.folder.files.map(({ name }) => name))
    .sequences.filter(({ frames }) => !frames.some(({ file }) => own.has(file)))
    .map(({ name, frames }) => ({ name, frames: frames.map(({ frame }) => frame) }));
}

/** Another pass, in a folder of its own. */
export async function addPass(): Promise<void> {
  const folder = await pickFolder();
  if (!folder) return;
  const { sequences } = findSequences(folder.files.map(({ name }) => name));
  if (sequences.length === 0) {
    addNotice(`No pass in ${folder.name}`, [`${folder.name}: no numbered frames (name_0001.jpg or .png).`]);
    return;
  }
  const now = platesNow();
  const added = sequences.map(({ name, frames }) => ({
    name: `${folder.name}/${name}`,
    frames: frames.map(({ frame }) => frame),
  }));
  const kept = now.passes.filter(({ name }) => !added.some((pass) => pass.name === name));
  plates.set({ ...now, shot: session.get().shot, passes: [...kept, ...added] });
}

/**
 * Pictures of the set beside the shot's last frame, by the same measurement as the shot's own: the last frame is the
 * reference, each plate a frame after it. What stands in one and not in the other is left out as what moves is.
 */
export async function addPlates(): Promise<void> {
  const picked = await pickPictures();
  const { files, report, shot } = session.get();
  const last = report?.frames.at(-1)?.frame;
  const reference = last === undefined ? undefined : files?.get(last);
  if (!picked || !reference || !report) return;
  plates.set({ ...platesNow(), shot, measuring: picked.files.map(({ name }) => name).join(", ") });
  // Sharpness is told against several frames; the last one stays the reference of camera and light.
  const before = report.frames
    .slice(-1 - BESIDE, -1)
    .toReversed()
    .flatMap(({ frame }) => files?.get(frame) ?? []);
  const own = [reference, ...before];
  const frames: FrameFile[] = [
    ...own.map((file, i) => ({ ...file, frame: frameNumber(i + 1) })),
    ...picked.files.map((file, i) => ({
      frame: frameNumber(own.length + i + 1),
      file: file.name,
      modified: file.modified,
      source: file.source,
    })),
  ];
  const answer = await check(
    {
      shot: `${shot ?? ""} plates`,
      folder: "",
      frames,
      sheetText: null,
      sheetFile: null,
      sheetSha256: null,
      bandPx: null,
      analysisWidth: ANALYSIS_WIDTH,
      warnings: [],
    },
    {
      signal: new AbortController().signal,
      onProgress: () => undefined,
      onReport: () => undefined,
      onSize: () => undefined,
      onMeasured: () => undefined,
    },
  );
  // Another shot may be open by now.
  if (plates.get().shot !== session.get().shot) return;
  const now = platesNow();
  if (!answer.ok) {
    addNotice("The plates could not be measured", [answer.detail]);
    plates.set({ ...now, measuring: null });
    return;
  }
  const { value } = answer;
  for (const warning of value.warnings) if (warning.code.startsWith("frame-")) addNotice("A plate", [warning.detail]);
  const usual = value.frames.flatMap(({ frame, focus }) => (frame <= own.length && focus ? [focus.loss] : []));
  const measured = value.frames
    .filter(({ frame }) => frame > own.length)
    .map(
      ({ file, camera, lightStops, focus }): Plate => ({
        file,
        camera,
        lightStops,
        focus:
          focus && usual.length > 0
            ? { loss: focus.loss - usual.reduce((sum, one) => sum + one, 0) / usual.length, sigma: focus.sigma }
            : null,
      }),
    );
  const kept = now.plates.filter(({ file }) => !measured.some((plate) => plate.file === file));
  plates.set({ ...now, plates: [...kept, ...measured], measuring: null });
}
