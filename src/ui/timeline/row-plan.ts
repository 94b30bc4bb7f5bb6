import type { StripGroup } from "../strips/groups.ts";
import type { Strip } from "../strips/strips.ts";
import { HEAD_ROW } from "./scale.ts";

/** A row of the timeline: the heading of a group, or a strip. `top` and `height` in px. */
export type Row = { readonly top: number; readonly height: number } & (
  | { readonly kind: "head"; readonly group: StripGroup; readonly folded: boolean }
  | { readonly kind: "strip"; readonly strip: Strip }
);

export interface RowPlan {
  readonly rows: readonly Row[];
  readonly height: number;
  /** Row on which a strip stands: its own, or its group's heading where that is folded. */
  readonly rowOf: ReadonlyMap<string, Row>;
}

/** Strips one under the other, each group under its heading; one group alone needs none. */
export function rowPlan(groups: readonly StripGroup[], folded: ReadonlySet<string>, rowHeight: number): RowPlan {
  const rows: Row[] = [];
  const rowOf = new Map<string, Row>();
  let top = 0;
  const add = (row: Row) => {
    rows.push(row);
    top += row.height;
    return row;
  };
  for (const group of groups) {
    const isFolded = groups.length > 1 && folded.has(group.id);
    const head = groups.length > 1 ? add({ kind: "head", group, folded: isFolded, top, height: HEAD_ROW }) : null;
    for (const strip of group.strips)
      rowOf.set(strip.id, isFolded && head ? head : add({ kind: "strip", strip, top, height: rowHeight }));
  }
  return { rows, height: top, rowOf };
}

/** Strips without headings, as camera and light stand at the foot. */
export const plainRows = (strips: readonly Strip[], rowHeight: number): RowPlan =>
  rowPlan([{ id: "", name: "", strips }], new Set(), rowHeight);

/** First row and the one after the last that lie between two heights, px. */
export function rowsBetween({ rows }: RowPlan, top: number, bottom: number): readonly [number, number] {
  let from = 0;
  while (from < rows.length && rows[from]!.top + rows[from]!.height <= top) from++;
  let to = from;
  while (to < rows.length && rows[to]!.top < bottom) to++;
  return [from, to];
}
