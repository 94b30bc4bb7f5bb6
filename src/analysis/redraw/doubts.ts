import type { Report, Sheet } from "../../model/index.ts";
import { animatedShapes, outlinesTouch, type RedrawChoice, shapeAt } from "./drift-layers.ts";
import { carrierOf, rowsOf, isAnimated } from "./part-drift.ts";

/** Light that differs by more, stops, is told: the filling behind a part is brought to it, its shadows are not. */
const LIGHT = 0.03;
/** From this share on what was filled in without any frame showing it is told. */
const GUESSED = 0.02;

/** Why a frame that is held still can't be trusted in some of it: sentences, none where nothing stands against it. */
export function doubtsOf(
  report: Report,
  sheet: Sheet | null,
  frame: number,
  { parts, camera }: RedrawChoice,
  guessed: number,
): readonly string[] {
  const doubts: string[] = [];
  const nameOf = (id: string): string => report.parts.find((part) => part.id === id)?.name ?? id;
  const ids = parts ?? report.parts.map(({ id }) => id);
  const anchors = new Set<number>();
  for (const id of ids) {
    const row = rowsOf(report, id).get(frame);
    if (isAnimated(report, sheet, id, frame)) {
      if (parts !== null) doubts.push(`${nameOf(id)} is animated here and is left as it is`);
      continue;
    }
    if (row === undefined) continue;
    anchors.add(row.anchor);
    const carrier = carrierOf(report, sheet, id);
    if (row.dx === null) {
      const why = row.reason === "" ? "" : ` (${row.reason})`;
      doubts.push(
        `${nameOf(id)} was not measured here${why}: ${carrier === null ? "it is left as it is" : `it goes where ${nameOf(carrier)} goes`}`,
      );
    } else if (row.state === "weak" || row.state === "ambiguous")
      doubts.push(`${nameOf(id)} is measured weakly here: ${row.reason}`);
    const shape = parts === null ? null : shapeAt(report, sheet, id, frame, 1);
    if (shape !== null && animatedShapes(report, sheet, frame, 1).some((cover) => outlinesTouch(cover, shape)))
      doubts.push(`${nameOf(id)} may be covered here by what is animated: there it is left as it is`);
  }
  const lightAt = (of: number) => report.frames.find((each) => each.frame === of)?.lightStops ?? null;
  const light = lightAt(frame);
  for (const anchor of anchors) {
    const was = lightAt(anchor);
    if (light !== null && was !== null && Math.abs(light - was) > LIGHT)
      doubts.push(`the light differs by ${Math.abs(light - was).toFixed(2)} stops from frame ${anchor}`);
  }
  const known = (of: number) => (report.frames.find((each) => each.frame === of)?.camera ?? null) !== null;
  if (camera !== null && !(known(frame) && known(camera)))
    doubts.push("the camera can't be told from the set here and is left as it is");
  if (guessed >= GUESSED)
    doubts.push(`${Math.round(guessed * 100)} % of what changed is filled in from around it, since no frame shows it`);
  return doubts;
}
