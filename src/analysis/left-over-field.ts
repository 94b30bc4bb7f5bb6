import type { NodeLattice } from "../measure/left-over.ts";
import {
  fitVectorField,
  type FieldModel,
  parametersOf,
  type VectorField,
  type VectorSamples,
} from "../measure/vector-field.ts";

// Which smooth field stands for the carrier of a surface, and with which of its nodes.

/** Models that are tried where the carrier's own nodes tell, where a held surface's and where a moving one's do. */
const OF_CARRIER: readonly FieldModel[] = ["similar", 1, 2];
const OF_HELD: readonly FieldModel[] = ["similar", 1];
const OF_MOVING: readonly FieldModel[] = ["similar", 1, 2, 3, 4];
/** Frames that are asked which model it takes. */
const ASKED = 12;
/** Sigma at the surface's nodes above which the carrier's own nodes can't tell how it moves there, px. */
const CARRIER_SIGMA = 0.1;
/** Standardised length from which on a node is one that slipped, and says nothing of the model. */
const SLIPPED = 4;

/** How many nodes of a lattice say as much as one alone: subsets overlap, and their errors with them. */
export function overlapOf({ size, step, cells }: NodeLattice): number {
  const taken = new Set<string>();
  for (let i = 0; i < cells.length; i += 2) taken.add(`${cells[i]} ${cells[i + 1]}`);
  const reach = Math.ceil(size / step) - 1;
  const share = (k: number): number => 1 - (Math.abs(k) * step) / size;
  let sum = 0;
  for (let i = 0; i < cells.length; i += 2)
    for (let r = -reach; r <= reach; r++)
      for (let c = -reach; c <= reach; c++)
        if (taken.has(`${cells[i] + c} ${cells[i + 1] + r}`)) sum += share(c) * share(r);
  return (2 * sum) / cells.length;
}

export interface CarrierModel {
  /** How many of the nodes that it is fitted to say as much as one. */
  readonly overlap: number;
  readonly by: "carrier" | "surface";
  readonly model: FieldModel;
}

/** One frame's nodes, those of the carrier apart. */
export interface FieldSamples {
  readonly own: VectorSamples;
  readonly carrier: VectorSamples;
}

/** Some of the frames, spread evenly. */
const someOf = (frames: readonly FieldSamples[]): FieldSamples[] => {
  const stride = Math.max(1, Math.ceil(frames.length / ASKED));
  return frames.filter((_, i) => i % stride === 0);
};

/** Whether the carrier shows enough of itself to tell how it moves under the surface. */
export function carrierTells(frames: readonly FieldSamples[], overlap: number): boolean {
  const asked = someOf(frames);
  return 2 * asked.filter(({ own, carrier }) => tellsOf(carrier, own, overlap)).length > asked.length;
}

/**
 * The model for a whole stretch of frames: one for all, so that no frame stands out by its model.
 * @param overlap of the nodes that it is fitted to
 */
export function carrierModel(
  frames: readonly FieldSamples[],
  by: CarrierModel["by"],
  held: boolean,
  overlap: number,
): CarrierModel {
  const asked = someOf(frames);
  const byCarrier = by === "carrier";
  const models = byCarrier ? OF_CARRIER : held ? OF_HELD : OF_MOVING;
  const samples = asked.map(({ own, carrier }) => (byCarrier ? carrier : own));
  const fits = samples.map((one) => models.map((model) => fitVectorField(one, model)));
  let best: FieldModel = "similar";
  let least = Number.POSITIVE_INFINITY;
  models.forEach((model, m) => {
    let evidence = 0;
    fits.forEach((fields, i) => {
      const field = fields[m];
      const finest = fields.findLast((one) => one !== null);
      if (field === null || finest === undefined || finest === null) {
        evidence = Number.POSITIVE_INFINITY;
        return;
      }
      const n = samples[i].x.length;
      let loss = 0;
      for (const length of field.lengths) loss += Math.min(SLIPPED, length / finest.spread) ** 2;
      evidence += loss / overlap + parametersOf(model) * Math.log(Math.max(2, (2 * n) / overlap));
    });
    // A model that only the carrier's rim can't hold flat is worse than a plain one.
    if (byCarrier && model !== "similar" && !asked.every(({ own, carrier }) => tellsOf(carrier, own, overlap, model)))
      evidence = Number.POSITIVE_INFINITY;
    if (evidence < least) {
      least = evidence;
      best = model;
    }
  });
  return { by, model: best, overlap };
}

/**
 * Whether nodes that are animated bend in the picture as no turn in its plane does: they turn out of it, nearer to the
 * lens here than there. What a smooth field leaves of that from frame to frame adds up like a creep.
 */
export function turnsAway(frames: readonly VectorSamples[], overlap: number): boolean {
  const samples = frames.map((own) => ({ own, carrier: own }));
  const { model } = carrierModel(samples, "surface", false, overlap);
  return model !== "similar" && model >= 2;
}

function tellsOf(carrier: VectorSamples, own: VectorSamples, overlap: number, model: FieldModel = "similar"): boolean {
  const field = fitVectorField(carrier, model);
  return field !== null && Math.sqrt(meanVariance(field, own)) * Math.sqrt(overlap) < CARRIER_SIGMA;
}

/** Mean variance of the field over some of the samples' places, the larger of x and y. */
function meanVariance(field: VectorField, samples: VectorSamples): number {
  const [xx, , yy] = meanCovariance(field, samples);
  return Math.max(xx, yy);
}

export function meanCovariance(field: VectorField, samples: VectorSamples): [number, number, number] {
  const n = samples.x.length;
  const stride = Math.max(1, Math.floor(n / 12));
  const sum: [number, number, number] = [0, 0, 0];
  let count = 0;
  for (let i = 0; i < n; i += stride, count++) {
    const at = field.covarianceAt(samples.x[i], samples.y[i]);
    for (let k = 0; k < 3; k++) sum[k] += at[k];
  }
  return count === 0 ? [0, 0, 0] : [sum[0] / count, sum[1] / count, sum[2] / count];
}
