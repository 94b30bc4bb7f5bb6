import { type Carry, carried, carryOn } from "../measure/carry.ts";
import { NODE_STEP } from "../measure/left-over.ts";
import { NODE_VALUES, samplesOf } from "../measure/node-samples.ts";
import { ALONG_SIGMA, axesOf } from "../measure/one-way.ts";
import { insidePolygon, polygonCentroid } from "../measure/mask.ts";
import { median } from "../measure/statistics/robust.ts";
import { type Covariance, usualOf } from "../measure/usual-covariance.ts";
import { fitVectorField } from "../measure/vector-field.ts";
import { type FrameNumber, px } from "../units/index.ts";
import type { LeftOverStep } from "./contract.ts";
import {
  carrierModel,
  type CarrierModel,
  carrierTells,
  type FieldSamples,
  meanCovariance,
  overlapOf,
  turnsAway,
} from "./left-over-field.ts";
import { coversOf, type LeftOverSurface } from "./left-over-plan.ts";
import type { LeftOverMeasurement } from "./measurement.ts";
import type { LeftOverSeries } from "./series.ts";
import { nearAny } from "./near-outline.ts";
import type { AnalysedPart } from "./shot-tracker.ts";

/** A match whose residual is so many times the node's usual one shows something else. */
const STRANGE = 2;
/** Way across lines up to which a node from frame to frame is believed, px, and the share of nodes that may be beyond it. */
const ACROSS_RANGE = 1.5;
const OTHER_LINES = 0.2;
/** Nodes around a lost one that speak for it. */
const NEAR = 2;

/** What the seed of a step's nodes moved at a place beyond the camera, px of the analysed frame; null where it isn't known. */
export type SeedMotion = (step: LeftOverStep, x: number, y: number) => readonly [number, number] | null;

/** One group of nodes in one frame. */
interface Group {
  readonly values: Float32Array;
  readonly places: Float64Array;
  readonly used: Uint8Array;
}

interface Row {
  readonly step: LeftOverStep;
  /** Turn of the material from this row to the last one: cosine and sine. What is summed up along it is summed in the last one's axes. */
  readonly toLast: readonly [cosine: number, sine: number];
  readonly own: Group;
  readonly carrier: Group;
}

const NO_GROUP: Group = { values: new Float32Array(0), places: new Float64Array(0), used: new Uint8Array(0) };

/**
 * The surface's nodes with the carrier's motion taken out.
 * @param scaleX, scaleY px of the original frame a px of the analysed one
 * @returns one with what most of the surface did for its carrier, and where the carrier shows itself one with its own
 * motion first: that tells how far the surface went, the other is the finer one. None where no frame has enough nodes
 */
export function leftOverSeries(
  surface: LeftOverSurface,
  measured: ReadonlyMap<FrameNumber, LeftOverMeasurement>,
  parts: readonly AnalysedPart[],
  frames: readonly FrameNumber[],
  scaleX: number,
  scaleY: number,
  seedMotion: SeedMotion = () => null,
): LeftOverSeries[] {
  const { plan, held, lattice } = surface;
  const analysed = parts.find((other) => other.part.id === plan.part);
  if (analysed === undefined) return [];
  const rows: Row[] = plan.steps.flatMap((step) => {
    const measurement = measured.get(step.frame);
    if (measurement === undefined) return [];
    const isShown = shownAt(surface, analysed, step, parts, frames);
    const [first, second = NO_GROUP] = plan.nodes.map((nodes, g): Group => {
      const places = placesIn(nodes.places, step);
      const used = new Uint8Array(places.length / 2).map((_, i) =>
        isShown(places[2 * i], places[2 * i + 1], g === 0) ? 1 : 0,
      );
      return { values: measurement.values[g], places, used };
    });
    return [
      {
        step,
        toLast: held ? [1, 0] : turnBetween(step, plan.steps[plan.steps.length - 1]),
        own: first,
        carrier: second,
      },
    ];
  });
  if (!held) for (const row of rows) for (const group of [row.own, row.carrier]) leaveOutOtherLines(group);
  leaveOutStrange(rows.map((row) => row.own));
  leaveOutStrange(rows.map((row) => row.carrier));
  const samples = rows.map((row) => ({
    own: samplesOf(row.own.values, row.own.places, row.own.used),
    carrier: samplesOf(row.carrier.values, row.carrier.places, row.carrier.used),
  }));
  const told = samples.filter((one) => one.own.x.length >= 6);
  if (told.length === 0) return [];
  const covariance = usualCovariance(rows, scaleX, scaleY);
  const models = [carrierModel(told, "surface", held, overlapOf(lattice))];
  const under = surface.carrier === null ? 1 : overlapOf(surface.carrier);
  const away =
    !held &&
    [told.map(({ own }) => own), told.map(({ carrier }) => carrier)].some(
      (group, g) => group.every(({ x }) => x.length >= 6) && turnsAway(group, g === 0 ? overlapOf(lattice) : under),
    );
  if (surface.carrier !== null && !away && carrierTells(told, under))
    models.unshift(carrierModel(told, "carrier", held, under));
  const whole = held ? wholeMotion(rows, lattice.cells.length / 2, seedMotion, scaleX, scaleY) : null;
  return models.map((model) => ({
    ...summed(surface, rows, samples, model, covariance, scaleX, scaleY),
    ...(whole === null ? {} : { whole }),
    ...(away ? { away } : {}),
  }));
}

/** Each node of a held surface against the anchor, the camera taken out; null where no frame can tell it. */
function wholeMotion(
  rows: readonly Row[],
  own: number,
  seedMotion: SeedMotion,
  scaleX: number,
  scaleY: number,
): NonNullable<LeftOverSeries["whole"]> | null {
  const dx = new Float32Array((1 + rows.length) * own).fill(Number.NaN);
  const dy = dx.slice();
  dx.fill(0, 0, own);
  dy.fill(0, 0, own);
  let isKnown = false;
  rows.forEach(({ step, own: { values, places, used } }, r) => {
    for (let i = 0; i < own; i++) {
      if (used[i] === 0 || !Number.isFinite(values[i * NODE_VALUES])) continue;
      const seed = seedMotion(step, places[2 * i], places[2 * i + 1]);
      if (seed === null) return;
      dx[(r + 1) * own + i] = (values[i * NODE_VALUES] + seed[0]) * scaleX;
      dy[(r + 1) * own + i] = (values[i * NODE_VALUES + 1] + seed[1]) * scaleY;
      isKnown = true;
    }
  });
  return isKnown ? { dx, dy } : null;
}

/** Left over row by row under one model of the carrier, summed up along the material where it is told from frame to frame. */
function summed(
  { plan, held, lattice, segment }: LeftOverSurface,
  rows: readonly Row[],
  samples: readonly FieldSamples[],
  { by, model, overlap }: CarrierModel,
  covariance: Float64Array,
  scaleX: number,
  scaleY: number,
): LeftOverSeries {
  const own = lattice.cells.length / 2;
  const count = 1 + rows.length;
  const dx = new Float32Array(count * own).fill(Number.NaN);
  const dy = new Float32Array(count * own).fill(Number.NaN);
  const found = new Uint8Array(count * own);
  const carrierCovariance = new Float64Array(3 * count);
  dx.fill(0, 0, own);
  dy.fill(0, 0, own);
  found.fill(1, 0, own);
  rows.forEach(({ own: { values, places, used }, toLast: [c, s] }, r) => {
    const field = fitVectorField(by === "carrier" ? samples[r].carrier : samples[r].own, model);
    const at = (r + 1) * own;
    const before = held ? 0 : at - own;
    if (field === null) {
      // Nobody can tell what slipped in this frame: the sum goes on from where it was.
      if (!held) for (let i = 0; i < own; i++) [dx[at + i], dy[at + i]] = [dx[before + i], dy[before + i]];
      return;
    }
    turnedBy(meanCovariance(field, samples[r].own), c, s).forEach((value, k) => {
      carrierCovariance[3 * (r + 1) + k] =
        value * overlap * (k === 0 ? scaleX ** 2 : k === 1 ? scaleX * scaleY : scaleY ** 2);
    });
    const left = new Float32Array(2 * own).fill(Number.NaN);
    for (let i = 0; i < own; i++) {
      if (used[i] === 0 || !Number.isFinite(values[i * NODE_VALUES])) continue;
      const [fx, fy] = field.at(places[2 * i], places[2 * i + 1]);
      const [x, y] = [values[i * NODE_VALUES] - fx, values[i * NODE_VALUES + 1] - fy];
      left[2 * i] = c * x - s * y;
      left[2 * i + 1] = s * x + c * y;
      found[at + i] = 1;
    }
    if (!held) fillFromNear(left, lattice.cells);
    for (let i = 0; i < own; i++) {
      const known = Number.isFinite(left[2 * i]);
      if (!known && held) continue;
      dx[at + i] = dx[before + i] + (known ? left[2 * i] * scaleX : 0);
      dy[at + i] = dy[before + i] + (known ? left[2 * i + 1] * scaleY : 0);
    }
  });
  const end = endOf(rows.at(-1)!.step);
  const places = new Float64Array(2 * own);
  for (let i = 0; i < own; i++) {
    const [x, y] = carried(end, lattice.places[2 * i], lattice.places[2 * i + 1]);
    places.set([x * scaleX, y * scaleY], 2 * i);
  }
  return {
    part: segment.part,
    anchor: plan.anchor,
    held,
    carrierBy: by,
    frames: [plan.anchor, ...rows.map(({ step }) => step.frame)],
    step: px(NODE_STEP * scaleX),
    size: px(lattice.size * scaleX),
    cells: lattice.cells,
    places,
    dx,
    dy,
    found,
    covariance,
    carrierCovariance,
  };
}

function placesIn(places: readonly number[], { place }: LeftOverStep): Float64Array {
  const out = new Float64Array(places.length);
  for (let i = 0; i < places.length; i += 2) out.set(carried(place, places[i], places[i + 1]), i);
  return out;
}

/** Whether a place shows its own part in both frames of a step, as far as the outlines tell. */
function shownAt(
  { lattice, held }: LeftOverSurface,
  analysed: AnalysedPart,
  step: LeftOverStep,
  parts: readonly AnalysedPart[],
  frames: readonly FrameNumber[],
): (x: number, y: number, isOwn: boolean) => boolean {
  const here = analysed.path.shapeNear(step.against).outline;
  const margin = (lattice.size + 1) / 2 + 1;
  const { area } = polygonCentroid(here);
  const row = frames.indexOf(step.frame);
  const since = frames.indexOf(step.against);
  const over = coversOf(analysed, area, step.frame, parts)
    .filter(({ moves }) => moves.slice(since + 1, row + 1).some((moved) => moved))
    .flatMap(({ path }) => [path.shapeNear(step.against).outline, path.shapeNear(step.frame).outline]);
  const isCovered = nearAny([...new Set(over)], margin);
  return (x, y, isOwn) => (!isOwn || held || insidePolygon(here, x, y)) && !isCovered(x, y);
}

/**
 * Leaves out nodes that are told across lines alone and lie far from where the part's motion sought them: it may have
 * been another line. Where many do, the seed is wrong, and none of them can be trusted. A held surface's seed is its own
 * measured motion, which has looked at rivals.
 */
function leaveOutOtherLines({ values, used }: Group): void {
  const lined: number[] = [];
  const far: number[] = [];
  for (let i = 0; i < used.length; i++) {
    const [dx, dy, varX, varY, covXY] = values.subarray(i * NODE_VALUES, (i + 1) * NODE_VALUES);
    if (used[i] === 0 || !Number.isFinite(dx)) continue;
    const { larger, axis } = axesOf([varX, covXY, varY]);
    if (larger < 0.9 * ALONG_SIGMA ** 2) continue;
    lined.push(i);
    if (Math.abs(dx * axis[0] + dy * axis[1]) > ACROSS_RANGE) far.push(i);
  }
  for (const i of far.length > OTHER_LINES * lined.length ? lined : far) used[i] = 0;
}

/** Leaves out matches that fit much worse than the same node usually does, beyond what all nodes of the frame do. */
function leaveOutStrange(rows: readonly Group[]): void {
  const nodes = rows[0]?.used.length ?? 0;
  const residual = (row: Group, i: number): number => row.values[i * NODE_VALUES + 5];
  const usual = Array.from({ length: nodes }, (_, i) =>
    median(rows.map((row) => residual(row, i)).filter((value) => Number.isFinite(value))),
  );
  for (const row of rows) {
    const ratios = usual.map((value, i) => residual(row, i) / value);
    const whole = Math.max(1, median(ratios.filter((value) => Number.isFinite(value))) || 1);
    ratios.forEach((ratio, i) => {
      if (ratio > STRANGE * whole) row.used[i] = 0;
    });
  }
}

/** A lost node does what those around it did: its sum must not fall behind. */
function fillFromNear(left: Float32Array, cells: readonly number[]): void {
  const at = new Map<string, number>();
  for (let i = 0; i < cells.length / 2; i++) at.set(`${cells[2 * i]} ${cells[2 * i + 1]}`, i);
  const known = left.slice();
  for (let i = 0; i < cells.length / 2; i++) {
    if (Number.isFinite(known[2 * i])) continue;
    let [sumX, sumY, n] = [0, 0, 0];
    for (let r = -NEAR; r <= NEAR; r++)
      for (let c = -NEAR; c <= NEAR; c++) {
        const other = at.get(`${cells[2 * i] + c} ${cells[2 * i + 1] + r}`);
        if (other === undefined || !Number.isFinite(known[2 * other])) continue;
        sumX += known[2 * other];
        sumY += known[2 * other + 1];
        n++;
      }
    if (n >= 3) left.set([sumX / n, sumY / n], 2 * i);
  }
}

/** Where the lattice's own places are at the end of a step. */
const endOf = ({ place, motion }: LeftOverStep): Carry => (motion === null ? place : carryOn(place, motion));

function turnBetween(from: LeftOverStep, to: LeftOverStep): readonly [cosine: number, sine: number] {
  const [one, other] = [endOf(from), endOf(to)];
  const [c, s] = [other.a * one.a + other.b * one.b, other.b * one.a - other.a * one.b];
  const length = Math.hypot(c, s);
  return [c / length, s / length];
}

/** The covariance of vectors that are turned. */
const turnedBy = ([xx, xy, yy]: Covariance, c: number, s: number): Covariance => [
  c * c * xx - 2 * c * s * xy + s * s * yy,
  c * s * (xx - yy) + (c * c - s * s) * xy,
  s * s * xx + 2 * c * s * xy + c * c * yy,
];

/** What a node's vector has for a covariance in most rows. */
function usualCovariance(rows: readonly Row[], scaleX: number, scaleY: number): Float64Array {
  const own = rows[0].own.used.length;
  const out = new Float64Array(3 * own).fill(Number.POSITIVE_INFINITY);
  for (let i = 0; i < own; i++) {
    const at = i * NODE_VALUES;
    const known = rows.flatMap(({ own: { values, used }, toLast: [c, s] }) =>
      used[i] === 1 && Number.isFinite(values[at])
        ? [turnedBy([values[at + 2], values[at + 4], values[at + 3]], c, s)]
        : [],
    );
    if (known.length === 0) continue;
    const [xx, xy, yy] = usualOf(known);
    out.set([xx * scaleX ** 2, xy * scaleX * scaleY, yy * scaleY ** 2], 3 * i);
  }
  return out;
}
