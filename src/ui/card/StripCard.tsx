import type { Strip, Strips } from "../strips/strips.ts";
import { fixed, frameList, measured } from "../../reports/words.ts";
import { Trace } from "./Trace.tsx";

/** A part that nothing was found on: what was measured all the same. */
export function StripCard({ strip, strips }: { readonly strip: Strip; readonly strips: Strips }) {
  const numbers = strips.frames.map((_, i) => i).filter((i) => !Number.isNaN(strip.value[i]));
  const most = numbers.reduce<number | null>(
    (far, i) => (far === null || Math.abs(strip.value[i]) > Math.abs(strip.value[far]) ? i : far),
    null,
  );
  const moving = strips.frames.filter((_, i) => strip.ground[i] === "moves");
  const missing = strips.frames.filter(
    (_, i) =>
      !strip.pending && Number.isNaN(strip.value[i]) && strip.ground[i] !== "moves" && strip.ground[i] !== "hidden",
  );
  const why = missing.length > 0 ? strip.why[strips.frames.indexOf(missing[0])] : "";
  const verb = strip.kind === "light" ? "stayed even" : "held";
  const sentence =
    most === null
      ? moving.length > 0
        ? `${strip.name} moves, so it has no drift.`
        : strip.pending
          ? `${strip.name} is not measured yet.`
          : `${strip.name} could not be measured.`
      : Math.abs(strip.value[most]) <= strip.band
        ? `${strip.name} ${verb} within its band${missing.length > 0 ? ", where it could be measured" : ""}.`
        : `${strip.name} left its band, but not for sure or not for its own sake.`;
  return (
    <article className="card" aria-label={strip.name}>
      <h2>{sentence}</h2>
      {most !== null && (
        <>
          <Trace strip={strip} frames={strips.frames} flag={null} />
          <p className="trace-words">
            {strip.unit === "px"
              ? `Drift, px, by frame${strip.at ? ", where it moved most" : ""}`
              : "Light, stops, by frame"}
            ; grey: band of ±{fixed(strip.band, strip.unit === "px" ? 2 : 3)} {strip.unit}
          </p>
        </>
      )}
      <dl className="facts">
        {most !== null && (
          <div>
            <dt>Farthest</dt>
            <dd>
              {strip.unit === "px"
                ? measured(strip.value[most], strip.sigma[most], "px")
                : `${fixed(strip.value[most], 3)} stops`}{" "}
              at frame {strips.frames[most]}
            </dd>
          </div>
        )}
        {moving.length > 0 && (
          <div>
            <dt>Moves</dt>
            <dd>{frameList(moving, strips.frames)}</dd>
          </div>
        )}
        {missing.length > 0 && (
          <div className="wide">
            <dt>Not measured</dt>
            <dd>
              {frameList(missing, strips.frames)}: {why}
            </dd>
          </div>
        )}
      </dl>
    </article>
  );
}
