/**
 * A number in all four lanes, from memory. For numbers in inner loops: a constant would be put together from its bits at
 * each use, by three instructions.
 */
// @ts-ignore: decorator
@inline
export function spread(numbers: usize, index: i32): v128 {
  return v128.load32_splat(numbers + (<usize>index << 2));
}

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
