import { useMemo } from "react";
import type { BenchShot } from "../../reports/bench/holds.ts";
import { seatingRows } from "../../reports/bench/seating.ts";
import { partWords, readable, shareWords, spreadWords } from "../../reports/bench/words.ts";
import { IntervalBar } from "./IntervalBar.tsx";

/** Swapped pieces by how far they sit off from one wearing to the next. */
export function FacesPanel({ shots }: { readonly shots: readonly BenchShot[] }) {
  const rows = useMemo(() => seatingRows(shots), [shots]);
  const most = Math.max(1e-9, ...rows.map(({ px }) => Math.min(px.high, 2 * px.value)));
  return (
    <div className="work">
      <h1>Face kits</h1>
      <p className="bench-about">
        {rows.length === 0
          ? "No piece was worn twice yet. Once one is, this says how far it sits off from one wearing to the next."
          : "How far each piece sits off from one wearing to the next: scatter of its place, 1 sigma along each axis, with its 95 % interval. The largest lower end stands first."}
      </p>
      {rows.length > 0 && (
        <table className="faces">
          <thead>
            <tr>
              <th scope="col">Piece</th>
              <th scope="col">Scatter</th>
              <th scope="col">Flagged</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.key}>
                <th scope="row">
                  {readable(row.wears)}
                  <span>{partWords(row.partName, row.puppet, row.copy)}</span>
                </th>
                <td>
                  <IntervalBar
                    value={row.px.value}
                    low={row.px.low}
                    high={row.px.high}
                    most={most}
                    label={spreadWords(row.px, "px")}
                  />
                  {spreadWords(row.px, "px")}
                  {row.mm !== null && <span>{spreadWords(row.mm, "mm")}</span>}
                </td>
                <td>{shareWords(row.flagged, "seating")}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </div>
  );
}
