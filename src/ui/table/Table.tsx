import { useEffect, useRef } from "react";
import { surfaceOn } from "../look/canvas.ts";
import { colours, listenToGround } from "../look/colours.ts";
import { anchorNow, choose, lookAtAll, pan, zoom } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { cameraBetween, enlargementFor, partArrowsAt, scaleLength } from "./arrows.ts";
import { createFlow } from "./flow.ts";
import { outlinesAt, outlineUnder, regionsAt } from "./outlines.ts";
import {
  paintEmptyFrame,
  paintField,
  paintGhost,
  paintNames,
  paintOutlines,
  paintPartArrows,
  paintPivot,
  paintScale,
} from "./paint.ts";
import { type Place, placeOf } from "./place.ts";
import { createSupply } from "./supply.ts";

/** Widths, px, at which frames are decoded: the smallest that is sharp enough is asked for. */
const widths = [960, 1440, 2160, 3240, 4860];

const ON_PICTURE = { line: "#f2f2f2", lit: "#ffffff", dark: "#000000a6" };

/** The light table: the frame, its outlines, and what was measured drawn on it. */
export function Table() {
  const canvas = useRef<HTMLCanvasElement>(null);

  useEffect(() => {
    const element = canvas.current;
    if (!element) return;
    let place: Place = { left: 0, top: 0, scale: 1 };
    let size = { width: 1280, height: 720 };

    const lit = () => new Set([view.get().over, view.get().strip].filter((id) => id !== null));

    const supply = createSupply(() => surface.draw());
    const flow = createFlow(() => surface.draw());
    const surface = surfaceOn(element, (context, width, height) => {
      const { report, sheet, strips, files } = session.get();
      const { frame, look, picture, outlines, flag: flagId } = view.get();
      if (!report && !files) return;
      if (report) size = report.shot;
      place = placeOf(look, size.width, size.height, width, height);
      const wanted = size.width * place.scale * devicePixelRatio;
      const sharp = widths.find((each) => each >= wanted * 0.98) ?? widths[widths.length - 1];
      const bitmap = supply.current(Math.min(sharp, report ? size.width : sharp));
      if (bitmap) {
        if (!report && bitmap.width * size.height !== bitmap.height * size.width) {
          size = { width: bitmap.width, height: bitmap.height };
          place = placeOf(look, size.width, size.height, width, height);
        }
        context.imageSmoothingQuality = "high";
        context.imageSmoothingEnabled = place.scale * devicePixelRatio < 4;
        context.drawImage(bitmap, place.left, place.top, size.width * place.scale, size.height * place.scale);
      } else paintEmptyFrame(context, place, size.width, size.height, colours());
      if (!report || !strips) return;
      const isAnchor = picture === "flip" && view.get().flipped;
      const drawn = [
        ...outlinesAt(report, sheet, strips, frame, isAnchor ? (anchorNow() ?? frame) : frame),
        ...(isAnchor ? [] : regionsAt(strips, frame)),
      ];
      // Two frames at once are looked at for the picture: there only what the pointer is on gets a name.
      const sparing = picture !== "plain" && picture !== "flip";
      const pointed = new Set([view.get().over].filter((id) => id !== null));
      const ink = bitmap
        ? { ...ON_PICTURE, signal: "#ff6ce4" }
        : { line: colours()["figure-edge"], lit: colours().ink, signal: colours().signal, dark: "#00000000" };
      if (picture === "arrows") {
        const arrows = partArrowsAt(report, strips, frame);
        const enlarge = enlargementFor(arrows, size.width);
        const field = flow.current();
        if (bitmap) {
          context.fillStyle = "#0c0c0c66";
          context.fillRect(place.left, place.top, size.width * place.scale, size.height * place.scale);
        }
        if (field) {
          paintField(context, field, place, size.width, enlarge, cameraBetween(report, anchorNow(), frame));
        }
        if (outlines) paintOutlines(context, drawn, place, pointed, ink, true);
        paintPartArrows(context, arrows, place, ink.signal, enlarge);
        paintScale(context, place, size.height, scaleLength(place.scale * enlarge), enlarge);
      } else if (outlines) paintOutlines(context, drawn, place, sparing ? pointed : lit(), ink, sparing);
      const flag = strips.flags.find((each) => each.id === flagId);
      if (view.get().ghost && flag?.easeBack !== undefined)
        paintGhost(
          context,
          flag.easeBack.ghost.map(({ outline }) => outline),
          place,
          ink,
        );
      if (!outlines) return;
      if (sparing) {
        paintNames(context, drawn, place, pointed, null, width, height);
        return;
      }
      const joint = sheet?.parts.flatMap((part) => part.joints).find((each) => each.id === flag?.joint);
      if (flag) paintPivot(context, flag, place, ink);
      const words = flag?.part && joint ? new Map([[flag.part, `, about the ${joint.name.toLowerCase()}`]]) : null;
      paintNames(context, drawn, place, lit(), words, width, height);
    });

    const at = (event: MouseEvent): [number, number] => {
      const box = element.getBoundingClientRect();
      return [
        (event.clientX - box.left - place.left) / place.scale,
        (event.clientY - box.top - place.top) / place.scale,
      ];
    };
    const under = (event: MouseEvent): string | null => {
      const { report, sheet, strips } = session.get();
      if (!report || !strips) return null;
      const { frame } = view.get();
      const outside = regionsAt(strips, frame).filter(({ id }) => id === "picture");
      return outlineUnder([...outside, ...outlinesAt(report, sheet, strips, frame)], ...at(event));
    };

    let held: { x: number; y: number; moved: boolean } | null = null;
    const down = (event: PointerEvent) => {
      if (event.button !== 0) return;
      held = { x: event.clientX, y: event.clientY, moved: false };
      element.setPointerCapture(event.pointerId);
    };
    const move = (event: PointerEvent) => {
      if (!held) {
        view.set({ over: under(event) });
        return;
      }
      const [dx, dy] = [event.clientX - held.x, event.clientY - held.y];
      if (!held.moved && Math.hypot(dx, dy) < 4) return;
      held = { x: event.clientX, y: event.clientY, moved: true };
      pan(-dx / (size.width * place.scale), -dy / (size.height * place.scale));
    };
    const up = (event: PointerEvent) => {
      if (held && !held.moved) {
        const id = under(event);
        if (id === null || id !== view.get().strip) choose(id);
      }
      held = null;
    };
    const leave = () => view.set({ over: null });
    const wheel = (event: WheelEvent) => {
      event.preventDefault();
      const [x, y] = at(event);
      zoom(Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.0016)), [x / size.width, y / size.height]);
    };
    element.addEventListener("pointerdown", down);
    element.addEventListener("pointermove", move);
    element.addEventListener("pointerup", up);
    element.addEventListener("pointerleave", leave);
    element.addEventListener("dblclick", lookAtAll);
    element.addEventListener("wheel", wheel, { passive: false });
    const ends = [view.listen(surface.draw), session.listen(surface.draw), listenToGround(surface.draw)];
    void document.fonts.ready.then(surface.draw);
    return () => {
      for (const end of ends) end();
      supply.end();
      flow.end();
      surface.end();
      element.removeEventListener("pointerdown", down);
      element.removeEventListener("pointermove", move);
      element.removeEventListener("pointerup", up);
      element.removeEventListener("pointerleave", leave);
      element.removeEventListener("dblclick", lookAtAll);
      element.removeEventListener("wheel", wheel);
    };
  }, []);

  const frame = useStore(view, (value) => value.frame);
  const picture = useStore(view, (value) => value.picture);
  const shot = useStore(session, (value) => value.shot);
  const label = `Frame ${frame} of ${shot ?? "the shot"}${picture === "plain" ? "" : ` against frame ${anchorNow()}, ${picture}`}`;
  return (
    <div className="table-picture">
      <canvas ref={canvas} className="table-canvas" role="img" aria-label={label} />
    </div>
  );
}
