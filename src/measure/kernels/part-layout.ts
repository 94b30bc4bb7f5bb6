// A part's pixels lie packed, one array after the other, each `pitch` bytes long: x, y, u, v, t, gx, gy (float32), tile
// (int32, later the place in the frame), then runs of pixels of one tile, as pairs of end and tile (int32, up to two for
// each pixel).
export const X: usize = 0;
export const Y: usize = 1;
export const U: usize = 2;
export const V: usize = 3;
export const T: usize = 4;
export const GX: usize = 5;
export const GY: usize = 6;
export const TILE: usize = 7;
export const PLACE: usize = 7;
export const RUNS: usize = 8;
