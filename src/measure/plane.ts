/** One channel of a picture: row-major, `data[y * width + x]` is the value at the pixel whose centre is (x + 0.5, y + 0.5). */
export interface Plane {
  readonly width: number;
  readonly height: number;
  readonly data: Float32Array;
}

export const createPlane = (width: number, height: number): Plane => ({
  width,
  height,
  data: new Float32Array(width * height),
});
