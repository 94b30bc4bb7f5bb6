import { useEffect, useRef } from "react";
import { surfaceOn } from "../look/canvas.ts";
import { colours, listenToGround } from "../look/colours.ts";
import { CRISP, tableSize } from "../state/look.ts";
import { choose, otherNow } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { createFlow } from "./flow.ts";
import { outlinesAt, outlineUnder, regionsAt } from "./outlines.ts";
import { paintLegend } from "./legend.ts";
import { paintMarks } from "./marks-on-picture.ts";
import { paintEmptyFrame, paintWords } from "./paint.ts";
import { type Place, placeOf } from "./place.ts";
import { CloseUp } from "./CloseUp.tsx";
import { listenToPointer } from "./pointer.ts";
import { sharpEnough } from "./sharp-enough.ts";
import { createSupply, plainWish } from "./supply.ts";
import { type TablePoint, tableTool } from "./tool.ts";

/** The light table: the frame, its outlines, and what was measured drawn on it. */
export function Table() {
  const canvas = useRef<HTMLCanvasElement>(null);

  useEffect(() => {
    const element = canvas.current;
    if (!element) return;
    let place: Place = { left: 0, top: 0, scale: 1 };
    let size = { width: 1280, height: 720 };
    /** Where the second of two pictures begins, CSS px; none: beyond everything. */
    let split = Infinity;

    const supply = createSupply(() => surface.draw());
    const original = createSupply(() => surface.draw(), plainWish);
    const flow = createFlow(() => surface.draw());

    const paintPicture = (context: CanvasRenderingContext2D, bitmap: ImageBitmap, at: Place) => {
      context.imageSmoothingQuality = "high";
      context.imageSmoothingEnabled = at.scale * devicePixelRatio < CRISP;
      context.drawImage(bitmap, at.left, at.top, size.width * at.scale, size.height * at.scale);
    };
    const surface = surfaceOn(element, (context, width, height) => {
      const { report, sheet, strips, files } = session.get();
      const { look, picture, beside } = view.get();
      if (!report && !files) return;
      if (report) size = report.shot;
      const isSplit = picture === "held" && beside && files !== null;
      split = isSplit ? Math.round(width / 2) : Infinity;
      const room = isSplit ? split : width;
      place = placeOf(look, size.width, size.height, room, height);
      tableSize.set({ fit: place.scale / look.scale });
      // A frame whose size isn't known yet is asked for as wide as the table needs.
      const pixels = sharpEnough(report ? size.width : 4096, (place.scale * size.width) / (report ? size.width : 4096));
      const bitmap = supply.current(pixels);
      if (isSplit) {
        const held = { ...place, left: place.left + split };
        for (const [one, at, x, words] of [
          [original.current(pixels), place, 0, "Original"],
          [bitmap, held, split, "Held still"],
        ] as const) {
          context.save();
          context.beginPath();
          context.rect(x, 0, split, height);
          context.clip();
          if (one) paintPicture(context, one, at);
          paintWords(context, words, x + 16, 22);
          context.restore();
        }
        return;
      }
      if (bitmap) {
        if (!report && bitmap.width * size.height !== bitmap.height * size.width) {
          size = { width: bitmap.width, height: bitmap.height };
          place = placeOf(look, size.width, size.height, width, height);
        }
        paintPicture(context, bitmap, place);
      } else paintEmptyFrame(context, place, size.width, size.height, colours());
      const tool = tableTool.get().now;
      if (report && strips && !tool?.hidesOutlines) {
        const [hasPicture, hidesNames] = [bitmap !== null, tool?.hidesNames ?? false];
        paintMarks(context, { report, sheet, strips, place, width, height, hasPicture, flow, hidesNames });
      }
      if (picture === "difference" && bitmap && !view.get().peek)
        paintLegend(context, view.get().gain, 16, height - 16);
      tool?.paint?.(context, place, width, height);
    });

    const under = ({ x, y }: TablePoint): string | null => {
      const { report, sheet, strips } = session.get();
      if (!report || !strips) return null;
      const { frame } = view.get();
      const outside = regionsAt(strips, frame).filter(({ id }) => id === "picture");
      return outlineUnder([...outside, ...outlinesAt(report, sheet, strips, frame)], x, y);
    };
    const endPointer = listenToPointer(element, {
      place: (x) => (x >= split ? { ...place, left: place.left + split } : place),
      size: () => size,
      hover: (at) => view.set({ over: at && under(at) }),
      click(at) {
        const id = under(at);
        if (id === null || id !== view.get().strip) choose(id);
      },
    });
    const ends = [
      view.listen(surface.draw),
      session.listen(surface.draw),
      tableTool.listen(surface.draw),
      listenToGround(surface.draw),
      endPointer,
    ];
    void document.fonts.ready.then(surface.draw);
    return () => {
      for (const end of ends) end();
      supply.end();
      original.end();
      flow.end();
      surface.end();
    };
  }, []);

  const frame = useStore(view, (value) => value.frame);
  const picture = useStore(view, (value) => value.picture);
  const shot = useStore(session, (value) => value.shot);
  const label = `Frame ${frame} of ${shot ?? "the shot"}${picture === "plain" ? "" : ` against frame ${otherNow()}, ${picture}`}`;
  const closeUp = useStore(view, (value) => value.closeUp);
  const hasCloseUp = useStore(session, (value) => value.files !== null && value.report !== null && !value.blank);
  const isSplit = closeUp && hasCloseUp;
  return (
    <div className={isSplit ? "table-picture with-close-up" : "table-picture"}>
      <div className="table-stage">
        <canvas ref={canvas} className="table-canvas" role="img" aria-label={label} />
      </div>
      {isSplit && <CloseUp />}
    </div>
  );
}
