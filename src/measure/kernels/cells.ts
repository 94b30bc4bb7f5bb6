import { allLanes, held, lanesBelow, laneSum } from "./vector";

/** Scatter of after - before on every other pixel of every other row of a square. */
export function scatter(before: usize, after: usize, width: i32, left: i32, top: i32, size: i32): f64 {
  const stride = <usize>width << 2;
  const count = (size + 1) >> 1;
  const rest = lanesBelow(((count - 1) & 3) + 1);
  const whole = allLanes();
  // Differences from the first one, so that a common change of the light costs no digits.
  const corner = <usize>top * stride + (<usize>left << 2);
  const base = held(load<f32>(after + corner) - load<f32>(before + corner));
  let sum = f32x4.splat(0);
  let squares = sum;
  for (let y = 0; y < size; y += 2) {
    const at = <usize>(top + y) * stride + (<usize>left << 2);
    for (let x = 0; x < count; x += 4) {
      const a = after + at + (<usize>x << 3);
      const b = before + at + (<usize>x << 3);
      const d0 = f32x4.sub(v128.load(a), v128.load(b));
      const d1 = f32x4.sub(v128.load(a, 16), v128.load(b, 16));
      const d = v128.and(x + 4 > count ? rest : whole, f32x4.sub(v128.shuffle<f32>(d0, d1, 0, 2, 4, 6), base));
      sum = f32x4.add(sum, d);
      squares = f32x4.add(squares, f32x4.mul(d, d));
    }
  }
  const n = <f64>(count * count);
  const mean = laneSum(sum) / n;
  return Math.sqrt(Math.max(0, laneSum(squares) / n - mean * mean));
}

/** Sum over `size` + 1 rows and columns from (ix, iy), the outermost by their share. Inside the picture. */
export function windowSum(plane: usize, width: i32, ix: i32, iy: i32, size: i32, fx: f64, fy: f64): f64 {
  const stride = <usize>width << 2;
  const from = plane + <usize>iy * stride + (<usize>ix << 2);
  const inner = size - 1;
  const bytes = <usize>inner << 2;
  const rest = lanesBelow(((inner - 1) & 3) + 1);
  let total: f64 = 0;
  for (let y = 0; y <= size; y++) {
    const weight = y === 0 ? 1 - fy : y === size ? fy : 1;
    // Not even read: at a whole pixel the last row and column may lie outside.
    if (weight === 0) continue;
    const row = from + <usize>y * stride;
    let sum = f32x4.splat(0);
    for (let x: usize = 0; x < bytes; x += 16) {
      const v = v128.load(row + 4 + x);
      sum = f32x4.add(sum, x + 16 > bytes ? v128.and(rest, v) : v);
    }
    let edges = (1 - fx) * <f64>load<f32>(row);
    if (fx !== 0) edges += fx * <f64>load<f32>(row + (<usize>size << 2));
    total += weight * (edges + laneSum(sum));
  }
  return total;
}
