import { createHoldMeasurer, type HoldMeasurer } from "./hold.ts";
import { openRival } from "./opencv.ts";
import { type PartCell, type PartTexture, partCells } from "./part-cells.ts";
import {
  type CameraCell,
  cameraCells,
  DISTURBANCES,
  type Disturbance,
  type DisturbedCell,
  disturbedCell,
} from "./whole-checks.ts";

// The bench in pieces that know nothing of each other: whoever does them, and in what order, the cells are the same.

/** How much of everything there is. */
export interface Amount {
  readonly noises: readonly number[];
  readonly jpegs: readonly boolean[];
  /** Pieces of texture, and noises drawn for each of them standing still and drifting, by the part's size. */
  readonly sizes: readonly (readonly [size: number, pieces: number, repeats: number])[];
  readonly disturbedSizes: readonly number[];
  readonly disturbedShots: number;
  readonly cameras: readonly CameraAmount[];
}

interface CameraAmount {
  /** Size of the frames, px. */
  readonly width: number;
  readonly height: number;
  readonly shots: number;
  readonly noises: readonly number[];
}

export const FULL: Amount = {
  noises: [0.5, 1, 2, 4],
  jpegs: [false, true],
  sizes: [
    [40, 4, 5],
    [80, 4, 5],
    [200, 3, 4],
    [400, 2, 2],
  ],
  disturbedSizes: [80, 200],
  disturbedShots: 2,
  cameras: [
    { width: 960, height: 540, shots: 4, noises: [0.5, 1, 2, 4] },
    // Four times the pixels: at the noises that the reach speaks of.
    { width: 1920, height: 1080, shots: 4, noises: [1, 2] },
  ],
};
export const QUICK: Amount = {
  noises: [1, 2],
  jpegs: [true],
  sizes: [
    [40, 1, 3],
    [80, 2, 2],
    [200, 1, 2],
    [400, 1, 1],
  ],
  disturbedSizes: [80],
  disturbedShots: 1,
  cameras: [{ width: 960, height: 540, shots: 1, noises: [1, 2] }],
};

/** What is to be done of it. */
export interface Wanted {
  readonly cells: readonly string[];
  readonly sizes: readonly number[];
  readonly textures: readonly PartTexture[];
  readonly noises: readonly number[];
}

export const KINDS = ["parts", "disturbed", "camera"] as const;

export type Job =
  | {
      readonly kind: "parts";
      readonly size: number;
      readonly texture: PartTexture;
      readonly noises: readonly number[];
      readonly jpegs: readonly boolean[];
      readonly pieces: number;
      readonly repeats: number;
      readonly seed: number;
    }
  | {
      readonly kind: "disturbed";
      readonly disturbance: Disturbance;
      readonly size: number;
      readonly texture: PartTexture;
      readonly shots: number;
      readonly seed: number;
    }
  | {
      readonly kind: "camera";
      readonly width: number;
      readonly height: number;
      readonly noise: number;
      readonly jpegs: readonly boolean[];
      readonly shots: number;
      readonly seed: number;
    };

export type Done =
  | { readonly kind: "parts"; readonly cells: readonly PartCell[] }
  | { readonly kind: "disturbed"; readonly cells: readonly DisturbedCell[] }
  | { readonly kind: "camera"; readonly cells: readonly CameraCell[] };

/** All jobs in the order of the tables. */
export function jobsOf(amount: Amount, wanted: Wanted, seed: number): Job[] {
  const is = (kind: Job["kind"]): boolean => wanted.cells.includes(kind);
  const { noises, textures } = wanted;
  const { jpegs } = amount;
  return [
    ...amount.sizes
      .filter(([size]) => is("parts") && wanted.sizes.includes(size))
      .flatMap(([size, pieces, repeats]) =>
        textures.map((texture): Job => ({ kind: "parts", size, texture, noises, jpegs, pieces, repeats, seed })),
      ),
    ...(is("disturbed") ? DISTURBANCES : []).flatMap((disturbance) =>
      amount.disturbedSizes
        .filter((size) => wanted.sizes.includes(size))
        .flatMap((size) =>
          textures.map(
            (texture): Job => ({ kind: "disturbed", disturbance, size, texture, shots: amount.disturbedShots, seed }),
          ),
        ),
    ),
    ...(is("camera") ? amount.cameras : []).flatMap(({ width, height, shots, noises: all }) =>
      all
        .filter((noise) => noises.includes(noise))
        .map((noise): Job => ({ kind: "camera", width, height, noise, jpegs, shots, seed })),
    ),
  ];
}

export function nameOfJob(job: Job): string {
  if (job.kind === "camera") return `camera, ${job.width} x ${job.height}, noise ${job.noise}`;
  return `${job.size} px ${job.texture}${job.kind === "disturbed" ? `, ${job.disturbance}` : ""}`;
}

/**
 * Roughly how long a job takes, in any unit: the long ones go first, so that no thread is left with one at the end.
 * Pixels looked at, a whole check's counted ten times, as it was measured.
 */
export function costOf(job: Job): number {
  if (job.kind === "camera") return 10 * job.shots * job.jpegs.length * 10 * job.width * job.height;
  if (job.kind === "disturbed") return 10 * job.shots * 16 * 640 * 480;
  const { size, pieces, repeats, noises, jpegs } = job;
  return (size + 88) ** 2 * 12 * 2 * pieces * (2 + repeats * noises.length * jpegs.length);
}

/** On fainter textures its ECC throws, after which the module is good for nothing. */
const ASKED_TEXTURES: readonly string[] = ["woven", "herringbone", "stripes"];
const ASKED_SIZES: readonly number[] = [80, 200];
/** The one noise at which it is asked about parts. */
const ASKED_NOISE = 1;

/** Whether OpenCV is asked: what it says must not depend on what it was asked before, so such a job has a thread to itself. */
export const asksRival = (job: Job): boolean =>
  job.kind === "disturbed"
    ? ASKED_TEXTURES.includes(job.texture)
    : job.kind === "parts" &&
      ASKED_SIZES.includes(job.size) &&
      ASKED_TEXTURES.includes(job.texture) &&
      job.noises.includes(ASKED_NOISE) &&
      job.jpegs.includes(true);

let measurer: Promise<HoldMeasurer> | null = null;

export async function runJob(job: Job): Promise<Done> {
  const rival = asksRival(job) ? await openRival() : null;
  switch (job.kind) {
    case "parts": {
      measurer ??= createHoldMeasurer();
      const asked =
        rival === null
          ? {}
          : { rival: { by: rival, asks: (noise: number, jpeg: boolean) => jpeg && noise === ASKED_NOISE } };
      return { kind: "parts", cells: await partCells({ ...job, measurer: await measurer, ...asked }) };
    }
    case "disturbed": {
      const { disturbance, size, texture, shots, seed } = job;
      return { kind: "disturbed", cells: [await disturbedCell(disturbance, size, texture, shots, seed, rival)] };
    }
    case "camera":
      return { kind: "camera", cells: await cameraCells({ ...job, noises: [job.noise] }) };
  }
}
