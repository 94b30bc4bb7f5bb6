import { EVEN_ENTRIES } from "./sizes";

/** Filled once by the loader with the twin's own table, so that both read the same numbers. */
const TABLE: usize = memory.data((EVEN_ENTRIES + 2) * 4, 16);

export function evenScaleTable(): usize {
  return TABLE;
}

/** Four values at once; the table's neighbours come in pairs. */
// @ts-ignore: decorator
@inline
export function evenScale4(value: v128): v128 {
  const clamped = f32x4.max(f32x4.min(value, f32x4.splat(1)), f32x4.splat(0));
  const at = f32x4.mul(f32x4.sqrt(clamped), f32x4.splat(<f32>EVEN_ENTRIES));
  const low = i32x4.trunc_sat_f32x4_s(at);
  const fraction = f32x4.sub(at, f32x4.convert_i32x4_s(low));
  const offset = i32x4.shl(low, 2);
  let p = v128.load64_zero(TABLE + <usize>i32x4.extract_lane(offset, 0));
  p = v128.load64_lane(TABLE + <usize>i32x4.extract_lane(offset, 1), p, 1);
  let q = v128.load64_zero(TABLE + <usize>i32x4.extract_lane(offset, 2));
  q = v128.load64_lane(TABLE + <usize>i32x4.extract_lane(offset, 3), q, 1);
  const a = v128.shuffle<f32>(p, q, 0, 2, 4, 6);
  const b = v128.shuffle<f32>(p, q, 1, 3, 5, 7);
  return f32x4.add(a, f32x4.mul(f32x4.sub(b, a), fraction));
}

// @ts-ignore: decorator
@inline
export function evenScale1(value: f32): f32 {
  return f32x4.extract_lane(evenScale4(f32x4.splat(value)), 0);
}

export function toEvenScale(source: usize, target: usize, count: i32): void {
  let i = 0;
  for (; i + 4 <= count; i += 4) {
    v128.store(target, evenScale4(v128.load(source)));
    source += 16;
    target += 16;
  }
  for (; i < count; i++) {
    store<f32>(target, evenScale1(load<f32>(source)));
    source += 4;
    target += 4;
  }
}
