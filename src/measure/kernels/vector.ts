/**
 * A number in all four lanes, from memory. For numbers in inner loops: a constant would be put together from its bits at
 * each use, by three instructions.
 */
// @ts-ignore: decorator
@inline
export function spread(numbers: usize, index: i32): v128 {
  return v128.load32_splat(numbers + (<usize>index << 2));
}

const PLACE: usize = memory.data(16, 16);

/**
 * A number in all four lanes, by way of memory: an engine works a plain splat out again in every round of the loop that
 * uses it, a value that was read from memory it keeps.
 */
// @ts-ignore: decorator
@inline
export function held(value: f32): v128 {
  store<f32>(PLACE, value);
  return v128.load32_splat(PLACE);
}

// @ts-ignore: decorator
@inline
export function heldInt(value: i32): v128 {
  store<i32>(PLACE, value);
  return v128.load32_splat(PLACE);
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

const MASKS: usize = memory.data<i32>([-1, -1, -1, -1, 0, 0, 0, 0], 16);

/** All bits set in the lanes below `count`, 0 to 4. */
// @ts-ignore: decorator
@inline
export function lanesBelow(count: i32): v128 {
  return v128.load(MASKS + 16 - (<usize>count << 2));
}

/** All bits set. */
// @ts-ignore: decorator
@inline
export function allLanes(): v128 {
  return v128.load(MASKS);
}
