import type { FrameOutcome } from "../../../src/protocol/index.ts";
import { checkShot } from "../../support/check-shot.ts";
import { renderShot } from "../../support/render.ts";
import { jpegShot } from "../../support/write.ts";
import { shotFor } from "./recipes.ts";
import { type BandScore, scoreOf } from "./score.ts";
import { perfectScores } from "./what-anyone-can-see.ts";

export interface ShotResult {
  readonly seed: number;
  readonly recipe: string;
  readonly name: string;
  readonly noise: number;
  readonly jpeg: number | null;
  readonly stillHolds: number;
  readonly frames: number;
  /** Bands opened, and as they come. */
  readonly open: BandScore;
  readonly usual: BandScore;
  /** Seconds that rendering and checking took. */
  readonly renderSeconds: number;
  readonly checkSeconds: number;
}

const seconds = (start: number): number => (performance.now() - start) / 1000;

/** Renders one shot, checks it with bands opened and with those by default, and holds both against the truth. */
export async function runShot(seed: number, noSheet = false): Promise<ShotResult> {
  const bench = shotFor(seed);
  const { shot, copies } = bench;
  const begin = performance.now();
  const rendered = renderShot(shot.scene, shot.frames);
  const { planes } = bench.jpeg === null ? rendered : await jpegShot(rendered, bench.jpeg);
  const frames = new Map(planes.map((_, i) => [i + 1, planes[(copies.get(i + 1) ?? i + 1) - 1]]));
  const perfect = perfectScores(shot.scene, shot.frames, bench.faults);
  const renderSeconds = seconds(begin);
  const middle = performance.now();
  const memory = { name: shot.scene.name, frames, sheet: noSheet ? null : shot.sheet };
  const remember = new Map<string, readonly FrameOutcome[]>();
  // What is told in percent has a band of the size that is put in: opened too where it is asked for.
  const share = bench.faults.some(({ px }) => px === null) ? { bandShare: 0 } : {};
  const open = scoreOf(await checkShot(memory, { bandPx: 0, ...share, remember }), bench, { noSheet, perfect });
  const usual = scoreOf(await checkShot(memory, { remember }), bench, { noSheet, perfect });
  return {
    seed,
    recipe: bench.recipe,
    name: bench.name,
    noise: bench.noise,
    jpeg: bench.jpeg,
    stillHolds: bench.stillHolds,
    frames: shot.frames,
    open,
    usual,
    renderSeconds,
    checkSeconds: seconds(middle),
  };
}
