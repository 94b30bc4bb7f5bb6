import { fourAt, NUMBERS, STEPS } from "./spline-taps";
import { ROW, SAMPLED } from "./subset-work";
import { held, lanesBelow, laneSum, spread } from "./vector";

const COLUMNS: usize = memory.data<f32>([0, 1, 2, 3], 16);

/** Whether a piece that turns and stretches lies in the picture with its taps: see the twin's `liesInside`. */
export function turnedInside(
  x: f64,
  y: f64,
  half: f64,
  width: i32,
  height: i32,
  xx: f64,
  xy: f64,
  yx: f64,
  yy: f64,
): bool {
  const reachX = half * (Math.abs(xx) + Math.abs(xy));
  const reachY = half * (Math.abs(yx) + Math.abs(yy));
  return (
    x - reachX > 1.01 &&
    y - reachY > 1.01 &&
    x + reachX < <f64>width - 2.01 &&
    y + reachY < <f64>height - 2.01
  );
}

/**
 * The current frame on the moved, turned and stretched piece, less `base`, into SAMPLED. The caller has seen to it that
 * it lies inside. Places are counted from the middle: a float32 of 2000 is good to 1e-4 px only.
 * @param x, y the piece's middle, counted from the first pixel's centre
 * @returns its sum
 */
export function sampleTurned(
  coefficients: usize,
  width: i32,
  size: i32,
  x: f64,
  y: f64,
  xx: f32,
  xy: f32,
  yx: f32,
  yy: f32,
  base: f32,
): f64 {
  const stride = <usize>width << 2;
  const bytes = <usize>size << 2;
  const wholeX = Math.floor(x);
  const wholeY = Math.floor(y);
  const origin = coefficients + <usize>((((<i32>wholeY - 1) * width) + <i32>wholeX - 1) << 2);
  const middle = <f32>(size - 1) / 2;
  const fromX = held(<f32>(x - wholeX));
  const fromY = held(<f32>(y - wholeY));
  const axx = held(xx);
  const axy = held(xy);
  const ayx = held(yx);
  const ayy = held(yy);
  const end = held(middle);
  const rowLength = held(<f32>width);
  const less = held(base);
  const one = spread(NUMBERS, 0);
  const aHalf = spread(NUMBERS, 1);
  const sixth = spread(NUMBERS, 2);
  const twoThirds = spread(NUMBERS, 3);
  const magic = spread(NUMBERS, 4);
  const steps = v128.load(STEPS);
  const rest = lanesBelow(((size - 1) & 3) + 1);
  let sum = f32x4.splat(0);
  for (let r = 0; r < size; r++) {
    const v = held(<f32>r - middle);
    const rowX = f32x4.add(fromX, f32x4.mul(axy, v));
    const rowY = f32x4.add(fromY, f32x4.mul(ayy, v));
    const to = SAMPLED + <usize>r * ROW;
    for (let c: usize = 0; c < bytes; c += 16) {
      // Past the row's end its last pixel again: nothing outside is read.
      const u = f32x4.min(end, f32x4.add(v128.load(COLUMNS), f32x4.splat(<f32>(<i32>c >> 2) - middle)));
      const px = f32x4.add(rowX, f32x4.mul(axx, u));
      const py = f32x4.add(rowY, f32x4.mul(ayx, u));
      const floorX = f32x4.floor(px);
      const floorY = f32x4.floor(py);
      // Pixels from the middle, below 4e6: exact, and once the magic number is added the low bits are the number.
      const offset = f32x4.add(f32x4.add(f32x4.mul(floorY, rowLength), floorX), magic);
      const place = i32x4.shl(i32x4.sub(offset, magic), 2);
      const four = fourAt(
        origin,
        stride,
        place,
        f32x4.sub(px, floorX),
        f32x4.sub(py, floorY),
        one,
        aHalf,
        sixth,
        twoThirds,
        steps,
      );
      let value = f32x4.sub(four, less);
      if (c + 16 > bytes) value = v128.and(rest, value);
      v128.store(to + c, value);
      sum = f32x4.add(sum, value);
    }
  }
  return laneSum(sum);
}
