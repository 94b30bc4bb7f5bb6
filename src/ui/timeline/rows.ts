import type { Strips } from "../strips/strips.ts";
import type { Happening } from "./happenings.ts";
import type { RowPlan } from "./row-plan.ts";

/** Some strips one under the other, as everything drawn on them has to know. */
export interface Rows {
  readonly plan: RowPlan;
  /** First row that is drawn and the one after the last: what is far out of sight is left out. */
  readonly from: number;
  readonly to: number;
  readonly strips: Strips;
  readonly happenings: readonly Happening[];
}
