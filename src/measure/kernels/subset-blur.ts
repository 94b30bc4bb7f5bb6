import { setResult } from "./result";
import { PIECE, ROW, SAMPLED, SAMPLED_MEAN, SLOPE_X, SLOPE_Y } from "./subset-work";
import { held, lanesBelow, laneSum } from "./vector";

/**
 * After `solveSubset`, over the piece without its outermost pixels: L is the Laplacian of the piece T, e what the match
 * leaves over. Results: 0 L, 1 LL, 2 LT, 3 T, 4 TT, 5 e, 6 eL, 7 eT, 8 LX, 9 LY, 10 ee.
 */
export function subsetBlur(size: i32, gain: f64): void {
  const inner = size - 2;
  const bytes = <usize>inner << 2;
  const rest = lanesBelow(((inner - 1) & 3) + 1);
  const m = held(<f32>load<f64>(SAMPLED_MEAN));
  const perGain = held(<f32>(1 / gain));
  const four = held(4);
  let l1 = f32x4.splat(0);
  let ll = l1;
  let lt = l1;
  let t1 = l1;
  let tt = l1;
  let e1 = l1;
  let el = l1;
  let et = l1;
  let lx = l1;
  let ly = l1;
  let ee = l1;
  for (let y = 1; y <= inner; y++) {
    const row = <usize>y * ROW + 4;
    for (let x: usize = 0; x < bytes; x += 16) {
      const at = row + x;
      let t = v128.load(PIECE + at);
      let e = f32x4.sub(f32x4.mul(f32x4.sub(v128.load(SAMPLED + at), m), perGain), t);
      const across = f32x4.add(v128.load(PIECE + at - 4), v128.load(PIECE + at + 4));
      const along = f32x4.add(v128.load(PIECE + at - ROW), v128.load(PIECE + at + ROW));
      let l = f32x4.sub(f32x4.add(across, along), f32x4.mul(four, t));
      if (x + 16 > bytes) {
        t = v128.and(rest, t);
        e = v128.and(rest, e);
        l = v128.and(rest, l);
      }
      l1 = f32x4.add(l1, l);
      ll = f32x4.add(ll, f32x4.mul(l, l));
      lt = f32x4.add(lt, f32x4.mul(l, t));
      t1 = f32x4.add(t1, t);
      tt = f32x4.add(tt, f32x4.mul(t, t));
      e1 = f32x4.add(e1, e);
      el = f32x4.add(el, f32x4.mul(e, l));
      et = f32x4.add(et, f32x4.mul(e, t));
      lx = f32x4.add(lx, f32x4.mul(l, v128.load(SLOPE_X + at)));
      ly = f32x4.add(ly, f32x4.mul(l, v128.load(SLOPE_Y + at)));
      ee = f32x4.add(ee, f32x4.mul(e, e));
    }
  }
  setResult(0, laneSum(l1));
  setResult(1, laneSum(ll));
  setResult(2, laneSum(lt));
  setResult(3, laneSum(t1));
  setResult(4, laneSum(tt));
  setResult(5, laneSum(e1));
  setResult(6, laneSum(el));
  setResult(7, laneSum(et));
  setResult(8, laneSum(lx));
  setResult(9, laneSum(ly));
  setResult(10, laneSum(ee));
}
