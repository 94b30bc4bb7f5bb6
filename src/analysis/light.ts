/** Lattice on which the shape of the light is told. */
export const LIGHT_COLUMNS = 4;
export const LIGHT_ROWS = 3;

export interface LightFit {
  /** Mean of the smooth log-gain field, stops against the reference frame. */
  readonly stops: number;
  /** The field minus its mean at the middles of a 4 x 3 lattice, row-major, stops. */
  readonly shape: readonly number[];
}
