import { prove } from "../../client/proof.ts";
import { ANALYSIS_WIDTH } from "../../model/conventions.ts";
import { type Proof, serialiseProof } from "../../model/index.ts";
import { saveText } from "../opening/save.ts";
import { openShot } from "./checking.ts";
import { session } from "./session.ts";
import { createStore } from "./store.ts";

type ProvingPhase = "idle" | "proving" | "proved" | "failed";

interface Proving {
  readonly phase: ProvingPhase;
  /** What is done: reading, measuring the frames as they are, measuring them with known drifts put in. */
  readonly step: "inspect" | "measure" | "prove";
  readonly done: number;
  readonly total: number;
  readonly secondsLeft: number | null;
  readonly proof: Proof | null;
  /** Hash of the sheet that the proof was asked with: after a change of the sheet it is an old one. */
  readonly sheet: string | null;
  readonly cancelled: boolean;
  readonly why: string;
}

const idle: Proving = {
  phase: "idle",
  step: "inspect",
  done: 0,
  total: 0,
  secondsLeft: null,
  proof: null,
  sheet: null,
  cancelled: false,
  why: "",
};

/** The proof of the shot that is open: goes on while other screens are looked at. */
export const proving = createStore<Proving>(idle);

let running: AbortController | null = null;
/** The shot that the proof is of; another one that is opened drops it. */
let files: unknown = null;

export const canProve = (): boolean => {
  const { phase } = session.get();
  return openShot() !== null && phase === "checked" && proving.get().phase !== "proving";
};

export function startProof(): void {
  const shot = openShot();
  const { files: known, shot: name } = session.get();
  if (shot === null || known === null || !canProve()) return;
  const own = new AbortController();
  running = own;
  files = known;
  proving.set({ ...idle, phase: "proving", sheet: shot.sheet?.sha256 ?? null });
  let told = 0;
  void prove(
    {
      shot: name ?? shot.folder.name,
      folder: shot.folder.name,
      frames: [...known.values()],
      sheetText: shot.sheet?.text ?? null,
      sheetFile: shot.sheet?.name ?? null,
      sheetSha256: shot.sheet?.sha256 ?? null,
      bandPx: null,
      analysisWidth: ANALYSIS_WIDTH,
      warnings: shot.warnings,
    },
    null,
    {
      signal: own.signal,
      onProgress: ({ kind, done, total, secondsLeft }) => {
        if (running !== own || (performance.now() - told < 100 && done < total)) return;
        told = performance.now();
        proving.set({ step: kind === "inspect" || kind === "measure" ? kind : "prove", done, total, secondsLeft });
      },
    },
  ).then((answer) => {
    if (running !== own) return;
    running = null;
    if (answer.ok) proving.set({ phase: "proved", proof: answer.value });
    else if (answer.code === "cancelled") proving.set({ ...idle, cancelled: true });
    else proving.set({ ...idle, phase: "failed", why: answer.detail });
  });
}

export const cancelProof = (): void => running?.abort();

/** Drops the proof where another shot is opened. */
export function watchProof(): void {
  session.listen(() => {
    const now = session.get().files;
    if (files === null || now === files) return;
    files = null;
    running?.abort();
    running = null;
    proving.set(idle);
  });
}

export function saveProof(): void {
  const { proof } = proving.get();
  if (proof) saveText(`${proof.shot.name.replace(/[^\w.-]+/gu, "_")}.proof.json`, serialiseProof(proof));
}
