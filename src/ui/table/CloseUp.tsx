import { useEffect, useRef } from "react";
import { ToggleButton } from "react-aria-components";
import { boundsOf, centroidOf, outlineAt } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { surfaceOn } from "../look/canvas.ts";
import { listenToGround } from "../look/colours.ts";
import { CRISP } from "../state/look.ts";
import { anchorNow } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { cameraBetween } from "./arrows.ts";
import { outlinesAt } from "./outlines.ts";
import { paintOutlines } from "./paint.ts";
import { sharpEnough } from "./sharp-enough.ts";
import { createSupply, plainWish } from "./supply.ts";

/** Room around the part, of its larger side. */
const ROOM = 0.16;
/** Nearer than this, screen px to a px of the frame, nothing more is to be seen. */
const NEAREST = 12;

type Point = readonly [number, number];

/** The part that is shown large: the chosen strip's, with all that its flag carries; null where there is none. */
function shownNow(): { readonly id: string; readonly points: readonly Point[]; readonly name: string } | null {
  const { report, sheet, strips } = session.get();
  const { strip, flag: flagId, frame } = view.get();
  if (!report || !strips) return null;
  const flag = strips.flags.find(({ id }) => id === flagId) ?? null;
  const id = strip !== null && report.parts.some((part) => part.id === strip) ? strip : (flag?.part ?? null);
  if (id === null) return flag?.region ? { id: "picture", points: flag.region, name: "the place flagged" } : null;
  // Framed by where it was at its anchor, so that the frame itself never moves.
  const index = strips.indexOf.get(anchorNow() ?? frame) ?? 0;
  const carried = flag?.part === id ? flag.carries : [];
  const points = [id, ...carried].flatMap((each) => outlineAt(report, sheet, each, index) ?? []);
  const name = report.parts.find((part) => part.id === id)?.name ?? id;
  return points.length > 0 ? { id, points, name } : null;
}

/** How far the part went in the picture since its anchor, at its own middle: its motion and the camera's, px, and its turn. */
function motionNow(
  id: string,
): { readonly dx: number; readonly dy: number; readonly turn: number; readonly at: Point } | null {
  const { report, sheet, strips } = session.get();
  const { frame } = view.get();
  const row = report?.tracks.find((each) => each.part === id && each.frame === frame);
  if (!report || !strips || row?.rawDx == null || row.rawDy === null) {
    const anchor = anchorNow();
    const by = report && anchor !== null && anchor !== frame ? cameraBetween(report, anchor, frame) : null;
    if (!report || !by) return null;
    const at: Point = [report.shot.width / 2, report.shot.height / 2];
    const [dx, dy] = by(at);
    return { dx, dy, turn: 0, at };
  }
  const outline = outlineAt(report, sheet, id, strips.indexOf.get(row.anchor) ?? 0);
  if (!outline) return null;
  return { dx: row.rawDx, dy: row.rawDy, turn: row.turn ?? 0, at: centroidOf({ points: outline, holes: [] }) };
}

/** The flagged part, large and in one place, beside the whole picture: its motion left in, to be seen, or taken out, to see the rest. */
export function CloseUp() {
  const canvas = useRef<HTMLCanvasElement>(null);
  const still = useStore(view, (value) => value.closeUpStill);
  // Only for the words: the canvas listens by itself.
  useStore(view, (value) => `${value.strip}/${value.flag}/${value.frame}`);
  useStore(session, (value) => value.report);

  useEffect(() => {
    const element = canvas.current;
    if (!element) return;
    const supply = createSupply(() => surface.draw(), plainWish);
    const surface = surfaceOn(element, (context, width, height) => {
      const { report, sheet, strips } = session.get();
      const shown = shownNow();
      if (!report || !strips || !shown) return;
      const [left, top, right, bottom] = boundsOf(shown.points);
      const room = ROOM * Math.max(right - left, bottom - top) + 6;
      const scale = Math.min(NEAREST, width / (right - left + 2 * room), height / (bottom - top + 2 * room));
      const place = {
        left: width / 2 - (scale * (left + right)) / 2,
        top: height / 2 - (scale * (top + bottom)) / 2,
        scale,
      };
      const bitmap = supply.current(sharpEnough(report.shot.width, scale));
      const { closeUpStill, outlines, frame } = view.get();
      context.save();
      const motion = closeUpStill ? motionNow(shown.id) : null;
      if (motion) {
        // The picture is put back by what the part did, about the place where the part's middle is now.
        const [x, y] = [place.left + motion.at[0] * scale, place.top + motion.at[1] * scale];
        context.translate(x, y);
        context.rotate(-motion.turn);
        context.translate(-x - motion.dx * scale, -y - motion.dy * scale);
      }
      if (bitmap) {
        context.imageSmoothingQuality = "high";
        context.imageSmoothingEnabled = scale * devicePixelRatio < CRISP;
        context.drawImage(bitmap, place.left, place.top, report.shot.width * scale, report.shot.height * scale);
      }
      context.restore();
      if (!outlines || !bitmap) return;
      // The outline stays where the part was at its anchor: what has gone shows against it.
      const anchor = anchorNow() ?? frame;
      const drawn = outlinesAt(report, sheet, strips, frame, anchor).filter(({ state }) => state !== "still");
      paintOutlines(
        context,
        drawn,
        place,
        new Set(),
        { line: "#f2f2f2", lit: "#fff", dark: "#000000a6", signal: "#ff6ce4" },
        true,
      );
    });
    const ends = [view.listen(surface.draw), session.listen(surface.draw), listenToGround(surface.draw)];
    return () => {
      for (const end of ends) end();
      supply.end();
      surface.end();
    };
  }, []);

  const shown = shownNow();
  const anchor = anchorNow();
  return (
    <section className="close-up" aria-label="Close-up">
      <canvas
        ref={canvas}
        className="close-up-canvas"
        role="img"
        aria-label={shown ? `${shown.name}, large, frame ${view.get().frame}` : "Nothing chosen"}
      />
      {shown ? (
        <p className="close-up-words">
          <strong>{shown.name}</strong>
          {still ? ", its motion taken out" : `, outlined where it was in frame ${anchor ?? ""}`}
        </p>
      ) : (
        <p className="close-up-empty">Choose a part or a finding to see it large.</p>
      )}
      <div className="close-up-tools">
        <ToggleButton
          className="word-button"
          isSelected={still}
          isDisabled={!shown}
          onChange={actions.closeUpStill.perform}
        >
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
            <path d={still ? "M2 7l3.5 3.5L12 3.5" : "M2 7h10"} />
          </svg>
          Motion out <Key action={actions.closeUpStill} />
        </ToggleButton>
        <ActionButton className="icon-button" action={actions.closeUp} name="Close the close-up">
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
            <path d="M3 3l8 8M11 3l-8 8" />
          </svg>
        </ActionButton>
      </div>
    </section>
  );
}
