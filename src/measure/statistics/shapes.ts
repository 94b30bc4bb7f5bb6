// What a series of frames can do besides staying where it is: each a column of numbers, one a row.

/** Line, exponential approach, logarithm and hinge are slow; a step stays, a pop is back in the next row. */
export type Shape =
  | { readonly kind: "line"; readonly axis: number }
  /** Still up to row `at`, then fast at first and slower and slower towards an end. */
  | { readonly kind: "exponential"; readonly axis: number; readonly at: number; readonly constant: number }
  /** Fast at first, slower and slower, without an end: creep under a steady load. */
  | { readonly kind: "logarithm"; readonly axis: number; readonly constant: number }
  /** Still up to row `at`, a line from there. */
  | { readonly kind: "hinge"; readonly axis: number; readonly at: number }
  /** Jumps before row `at` and stays. */
  | { readonly kind: "step"; readonly at: number }
  /** Row `at` alone. */
  | { readonly kind: "pop"; readonly at: number };

export type Family = "slow" | "step" | "pop";

export const familyOf = (shape: Shape): Family => (shape.kind === "step" || shape.kind === "pop" ? shape.kind : "slow");

/** @param axes ascending times of the rows on each axis (frame numbers, capture times), 0 at the anchor */
export function columnOf(shape: Shape, axes: readonly Float64Array[], rows: number): Float64Array {
  const column = new Float64Array(rows);
  for (let i = 0; i < rows; i++) {
    if (shape.kind === "step") column[i] = i >= shape.at ? 1 : 0;
    else if (shape.kind === "pop") column[i] = i === shape.at ? 1 : 0;
    else {
      const axis = axes[shape.axis];
      if (shape.kind === "line") column[i] = axis[i];
      else if (shape.kind === "hinge") column[i] = Math.max(0, axis[i] - axis[shape.at]);
      else if (shape.kind === "logarithm") column[i] = Math.log1p(axis[i] / shape.constant);
      else column[i] = 1 - Math.exp(Math.min(0, axis[shape.at] - axis[i]) / shape.constant);
    }
  }
  return column;
}
