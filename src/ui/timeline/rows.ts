import type { Strip, Strips } from "../strips/strips.ts";
import type { FrameScale } from "./scale.ts";

/** Some strips one under the other, as everything drawn on them has to know. */
export interface Rows {
  /** The strips of these rows, from the top. */
  readonly rows: readonly Strip[];
  readonly strips: Strips;
  readonly scale: FrameScale;
  readonly rowHeight: number;
}
