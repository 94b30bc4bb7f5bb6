import { mixBits } from "./random.ts";

// Functions of the plane, evaluated exactly at any real point. A renderer asks for whole rows of points at once: one
// loop a row, instead of a call a point, halves the time that it takes.

/** Most points that a row may hold. */
export const ROW = 512;

/** Evaluates a function at the first `count` points (us[i], vs[i]) into out[i]; `out` may be neither of the two. */
export type Row = (us: Float64Array, vs: Float64Array, out: Float64Array, count: number) => void;

/** A function of the plane. Where it has a `row`, that gives the same values to the bit. */
export interface Field {
  (u: number, v: number): number;
  readonly row?: Row;
}

/** A function of the plane that is defined by its rows. */
export interface RowField extends Field {
  readonly row: Row;
}

export function fieldOf(row: Row): RowField {
  const us = new Float64Array(1);
  const vs = new Float64Array(1);
  const out = new Float64Array(1);
  const at = (u: number, v: number): number => {
    us[0] = u;
    vs[0] = v;
    row(us, vs, out, 1);
    return out[0];
  };
  return Object.assign(at, { row });
}

/** Rows of scratch numbers, which a field keeps for itself. */
export const scratchRows = (count: number): Float64Array[] =>
  Array.from({ length: count }, () => new Float64Array(ROW));

/**
 * Value noise: independent uniform values in [-1, 1] on a lattice of so many px along and across, joined by the quintic
 * of Perlin (2002), so that it has two continuous derivatives. It has no period: the values are hashes of the lattice
 * point. `angle` turns the lattice, so that several sizes laid over each other share no lines.
 */
export function valueNoise(seed: number, sizeU = 1, sizeV = sizeU, angle = 0): RowField {
  const salt = mixBits(seed + 0x51ed270b) | 0;
  const uu = Math.cos(angle) / sizeU;
  const uv = Math.sin(angle) / sizeU;
  const vu = -Math.sin(angle) / sizeV;
  const vv = Math.cos(angle) / sizeV;
  return fieldOf((us, vs, out, count) => noiseRow(salt, uu, uv, vu, vv, us, vs, out, count));
}

const latticeValue = (i: number, j: number, salt: number): number =>
  mixBits(Math.imul(i, 0x9e3779b1) ^ Math.imul(j, 0x85ebca77) ^ salt) / 2147483648 - 1;

function noiseRow(
  salt: number,
  uu: number,
  uv: number,
  vu: number,
  vv: number,
  us: Float64Array,
  vs: Float64Array,
  out: Float64Array,
  count: number,
): void {
  let cellX = Number.NaN;
  let cellY = Number.NaN;
  let constant = 0;
  let slopeX = 0;
  let slopeY = 0;
  let twist = 0;
  for (let k = 0; k < count; k++) {
    const x = uu * us[k] + uv * vs[k];
    const y = vu * us[k] + vv * vs[k];
    const i = Math.floor(x);
    const j = Math.floor(y);
    // Most points of a row fall in the cell of the point before.
    if (i !== cellX || j !== cellY) {
      cellX = i;
      cellY = j;
      const n10 = latticeValue(i + 1, j, salt);
      const n01 = latticeValue(i, j + 1, salt);
      constant = latticeValue(i, j, salt);
      slopeX = n10 - constant;
      slopeY = n01 - constant;
      twist = latticeValue(i + 1, j + 1, salt) - n10 - n01 + constant;
    }
    const fx = x - i;
    const fy = y - j;
    const wx = fx * fx * fx * (fx * (fx * 6 - 15) + 10);
    const wy = fy * fy * fy * (fy * (fy * 6 - 15) + 10);
    out[k] = constant + wx * slopeX + wy * (slopeY + wx * twist);
  }
}

/**
 * Spots with compact support, at most one in each square cell, wholly inside it. Each is (1 - r^2 / R^2)^3, so that
 * it has two continuous derivatives; 0 between spots.
 */
export function spots(seed: number, cell: number, share: number, smallest: number, largest: number): RowField {
  const salt = mixBits(seed + 0x2545f491) | 0;
  return fieldOf((us, vs, out, count) => {
    let cellU = Number.NaN;
    let cellV = Number.NaN;
    let centreU = 0;
    let centreV = 0;
    let reach = 0;
    let depth = 0;
    for (let k = 0; k < count; k++) {
      const i = Math.floor(us[k] / cell);
      const j = Math.floor(vs[k] / cell);
      if (i !== cellU || j !== cellV) {
        cellU = i;
        cellV = j;
        const h = mixBits(Math.imul(i, 0x9e3779b1) ^ Math.imul(j, 0x85ebca77) ^ salt);
        const draw = (index: number): number => mixBits(h + index) / 4294967296;
        reach = draw(1) < share ? smallest + (largest - smallest) * draw(2) : 0;
        centreU = i * cell + reach + (cell - 2 * reach) * draw(3);
        centreV = j * cell + reach + (cell - 2 * reach) * draw(4);
        depth = 0.5 + 0.5 * draw(5);
      }
      const du = us[k] - centreU;
      const dv = vs[k] - centreV;
      const q = reach === 0 ? 0 : 1 - (du * du + dv * dv) / (reach * reach);
      out[k] = q <= 0 ? 0 : depth * q * q * q;
    }
  });
}

/**
 * Scales a field to mean 0 and standard deviation 1, as found on 128 x 128 points of a 1300 px square, and turns it by
 * `angle`, radians from u towards v.
 */
export function normalised(row: Row, angle = 0): RowField {
  const [us, vs, values] = scratchRows(3);
  let sum = 0;
  let squares = 0;
  const side = 128;
  // A step that shares no factor with a weave's period, so that its phases are met evenly.
  const step = 10.1803;
  for (let j = 0; j < side; j++) {
    for (let i = 0; i < side; i++) {
      us[i] = i * step + j * 0.618034;
      vs[i] = j * step + i * 0.381966;
    }
    row(us, vs, values, side);
    for (let i = 0; i < side; i++) {
      sum += values[i];
      squares += values[i] * values[i];
    }
  }
  const mean = sum / (side * side);
  const gain = 1 / Math.sqrt(squares / (side * side) - mean * mean);
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return fieldOf((pu, pv, out, count) => {
    if (angle === 0) row(pu, pv, out, count);
    else {
      for (let k = 0; k < count; k++) {
        us[k] = c * pu[k] + s * pv[k];
        vs[k] = c * pv[k] - s * pu[k];
      }
      row(us, vs, out, count);
    }
    for (let k = 0; k < count; k++) out[k] = (out[k] - mean) * gain;
  });
}
