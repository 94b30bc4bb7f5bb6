/** Sum of the four lanes, in double precision. */
// @ts-ignore: decorator
@inline
export function laneSum(v: v128): f64 {
  return (
    <f64>f32x4.extract_lane(v, 0) +
    <f64>f32x4.extract_lane(v, 1) +
    (<f64>f32x4.extract_lane(v, 2) + <f64>f32x4.extract_lane(v, 3))
  );
}

/** All bits set in the lanes below `count`. */
// @ts-ignore: decorator
@inline
export function lanesBelow(count: i32): v128 {
  return i32x4.lt_s(i32x4(0, 1, 2, 3), i32x4.splat(count));
}
