import type { Report, Sheet } from "../../model/index.ts";
import { pivotRegion } from "../../reports/pivot-region.ts";
import { colours } from "../look/colours.ts";
import { otherNow } from "../state/looking.ts";
import { view } from "../state/view.ts";
import type { Strips } from "../strips/strips.ts";
import { cameraBetween, enlargementFor, partArrowsAt, scaleLength } from "./arrows.ts";
import type { Flow } from "./flow.ts";
import { outlinesAt, regionsAt } from "./outlines.ts";
import { paintPivotRegion } from "./pivot.ts";
import { paintField, paintGhost, paintNames, paintOutlines, paintPartArrows, paintPivot, paintScale } from "./paint.ts";
import type { Place } from "./place.ts";

const ON_PICTURE = { line: "#f2f2f2", lit: "#ffffff", dark: "#000000a6", signal: "#ff6ce4" };

interface Ground {
  readonly report: Report;
  readonly sheet: Sheet | null;
  readonly strips: Strips;
  readonly place: Place;
  /** Of the canvas, CSS px. */
  readonly width: number;
  readonly height: number;
  readonly hasPicture: boolean;
  readonly flow: Flow;
  readonly hidesNames: boolean;
}

/** All that lies over the picture: outlines, arrows, the ghost, the pivot, names. */
export function paintMarks(context: CanvasRenderingContext2D, ground: Ground): void {
  const { report, sheet, strips, place, width, height, hasPicture } = ground;
  const { frame, picture, outlines, flag: flagId, flipped, over, strip, peek } = view.get();
  const isAnchor = peek || (picture === "flip" && flipped);
  const drawn = [
    ...outlinesAt(report, sheet, strips, frame, isAnchor ? (otherNow() ?? frame) : frame),
    ...(isAnchor ? [] : regionsAt(strips, frame)),
  ];
  // Two frames at once are looked at for the picture: there only what the pointer is on gets a name.
  const sparing = picture !== "plain" && picture !== "flip" && !peek;
  const pointed = new Set([over].filter((id) => id !== null));
  const lit = new Set([over, strip].filter((id) => id !== null));
  const ink = hasPicture
    ? ON_PICTURE
    : { line: colours()["figure-edge"], lit: colours().ink, signal: colours().signal, dark: "#00000000" };
  if (picture === "arrows" && !peek) {
    const arrows = partArrowsAt(report, strips, frame);
    const enlarge = enlargementFor(arrows, report.shot.width);
    const field = ground.flow.current();
    if (hasPicture) {
      context.fillStyle = "#0c0c0c66";
      context.fillRect(place.left, place.top, report.shot.width * place.scale, report.shot.height * place.scale);
    }
    if (field) {
      paintField(context, field, place, report.shot.width, enlarge, cameraBetween(report, otherNow(), frame));
    }
    if (outlines) paintOutlines(context, drawn, place, pointed, ink, true);
    paintPartArrows(context, arrows, place, ink.signal, enlarge);
    paintScale(context, place, report.shot.height, scaleLength(place.scale * enlarge), enlarge);
  } else if (outlines) paintOutlines(context, drawn, place, sparing ? pointed : lit, ink, sparing);
  const flag = strips.flags.find((each) => each.id === flagId);
  if (view.get().ghost && flag?.easeBack !== undefined)
    paintGhost(
      context,
      flag.easeBack.ghost.map(({ outline }) => outline),
      place,
      ink,
    );
  if (!outlines) return;
  if (sparing && !ground.hidesNames) {
    paintNames(context, drawn, place, pointed, null, width, height);
  }
  if (sparing) return;
  const joint = sheet?.parts.flatMap((part) => part.joints).find((each) => each.id === flag?.joint);
  if (flag) {
    const region = pivotRegion(flag, report);
    if (region) paintPivotRegion(context, region, place, ink);
    paintPivot(context, flag, place, ink);
  }
  const words = flag?.part && joint ? new Map([[flag.part, `, about the ${joint.name.toLowerCase()}`]]) : null;
  if (!ground.hidesNames) paintNames(context, drawn, place, lit, words, width, height);
}
