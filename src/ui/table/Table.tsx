import { useEffect, useRef } from "react";
import { surfaceOn } from "../look/canvas.ts";
import { colours, listenToGround } from "../look/colours.ts";
import { CRISP, tableSize } from "../state/look.ts";
import { anchorNow, choose } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { createFlow } from "./flow.ts";
import { outlinesAt, outlineUnder, regionsAt } from "./outlines.ts";
import { paintMarks } from "./marks-on-picture.ts";
import { paintEmptyFrame } from "./paint.ts";
import { type Place, placeOf } from "./place.ts";
import { listenToPointer } from "./pointer.ts";
import { createSupply } from "./supply.ts";
import { type TablePoint, tableTool } from "./tool.ts";

/** Widths, px, at which frames are decoded: the smallest that is sharp enough is asked for. */
const widths = [960, 1440, 2160, 3240, 4860, 7290, 10_935];

/** The light table: the frame, its outlines, and what was measured drawn on it. */
export function Table() {
  const canvas = useRef<HTMLCanvasElement>(null);

  useEffect(() => {
    const element = canvas.current;
    if (!element) return;
    let place: Place = { left: 0, top: 0, scale: 1 };
    let size = { width: 1280, height: 720 };

    const supply = createSupply(() => surface.draw());
    const flow = createFlow(() => surface.draw());
    const surface = surfaceOn(element, (context, width, height) => {
      const { report, sheet, strips, files } = session.get();
      const { look } = view.get();
      if (!report && !files) return;
      if (report) size = report.shot;
      place = placeOf(look, size.width, size.height, width, height);
      tableSize.set({ fit: place.scale / look.scale });
      const wanted = size.width * place.scale * devicePixelRatio;
      const sharp = widths.find((each) => each >= wanted * 0.98) ?? widths[widths.length - 1];
      const bitmap = supply.current(Math.min(sharp, report ? size.width : sharp));
      if (bitmap) {
        if (!report && bitmap.width * size.height !== bitmap.height * size.width) {
          size = { width: bitmap.width, height: bitmap.height };
          place = placeOf(look, size.width, size.height, width, height);
        }
        context.imageSmoothingQuality = "high";
        context.imageSmoothingEnabled = place.scale * devicePixelRatio < CRISP;
        context.drawImage(bitmap, place.left, place.top, size.width * place.scale, size.height * place.scale);
      } else paintEmptyFrame(context, place, size.width, size.height, colours());
      const tool = tableTool.get().now;
      if (report && strips && !tool?.hidesOutlines) {
        paintMarks(context, { report, sheet, strips, place, width, height, hasPicture: bitmap !== null, flow });
      }
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
      place: () => place,
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
      flow.end();
      surface.end();
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
