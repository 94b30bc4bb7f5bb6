import { polygonCentroid } from "../measure/mask.ts";
import { type AnimatedReport, createPart } from "../model/index.ts";
import { type FrameNumber, px } from "../units/index.ts";
import { type CloserLook, closerLook, lookedAt } from "./closer-look.ts";
import type { LeftOverPlan } from "./contract.ts";
import { animatedPieces, animatedWithMargin, type FoundPiece, foundPieces, placeInWords } from "./found-parts.ts";
import type { LeftOverMeasurement } from "./measurement.ts";
import { outsidePart, outsidePieces } from "./outside-parts.ts";
import { PartPath } from "./part-path.ts";
import type { ShotSetup } from "./shot-setup.ts";
import type { AnalysedPart, ShotTracker } from "./shot-tracker.ts";

/** First and last frame of every run. */
function stretchesOf(
  moves: readonly boolean[],
  frames: readonly FrameNumber[],
): { readonly from: FrameNumber; readonly to: FrameNumber }[] {
  const out: { from: FrameNumber; to: FrameNumber }[] = [];
  frames.forEach((frame, i) => {
    if (!moves[i]) return;
    if (i > 0 && moves[i - 1]) out[out.length - 1].to = frame;
    else out.push({ from: frame, to: frame });
  });
  return out;
}

/** What the pictures show that no sheet tells: parts where none is drawn, what is animated, pieces of the set outside. */
export class FoundInPictures {
  /** What the cells hint at where there is no sheet, and the closer look at it: null where there is nothing to look at. */
  private hints: readonly FoundPiece[] | null = null;
  private look: CloserLook | null = null;
  private foundParts: readonly AnalysedPart[] = [];
  private outsideParts: readonly AnalysedPart[] = [];
  private animatedThings: readonly AnimatedReport[] = [];

  constructor(private readonly setup: ShotSetup) {}

  /** Pieces that drifted, where no part is drawn. */
  get parts(): readonly AnalysedPart[] {
    return this.foundParts;
  }

  /** Pieces outside all outlines. */
  get outside(): readonly AnalysedPart[] {
    return this.outsideParts;
  }

  get animated(): readonly AnimatedReport[] {
    return this.animatedThings;
  }

  /** What to measure for a close look at what the cells hint at, once; null where that is done or there is nothing. */
  lookCloser(tracker: ShotTracker): LeftOverPlan | null {
    if (this.hints !== null) return null;
    const { analysisWidth, analysisHeight } = this.setup;
    const { cells } = tracker;
    const history = tracker.history();
    this.hints = foundPieces(cells, history, analysisWidth, analysisHeight);
    const masked = animatedWithMargin(cells);
    const isMasked = (x: number, y: number): boolean => masked[cells.cellAt(x, y)] === 1;
    this.look = closerLook(this.hints, history, analysisWidth, analysisHeight, isMasked);
    return this.look?.plan ?? null;
  }

  /**
   * Pieces of the picture that drifted, as parts: named by place, kind not told.
   * @param lookedOf what the closer look measured, by its plan's id
   */
  findParts(
    tracker: ShotTracker,
    lookedOf: (plan: string) => ReadonlyMap<FrameNumber, LeftOverMeasurement> | undefined,
  ): void {
    const { setup } = this;
    const sx = setup.width / setup.analysisWidth;
    const sy = setup.height / setup.analysisHeight;
    const first = tracker.numbers[0];
    this.animatedThings = animatedPieces(tracker.cells, tracker.numbers.length).map(({ outline, moves }, i) => {
      const { x, y } = polygonCentroid(outline);
      return {
        id: `animated-${i + 1}`,
        name: `animated-${i + 1}: ${placeInWords(x, y, setup.analysisWidth, setup.analysisHeight)}`,
        outline: outline.map(([u, v]) => [px(u * sx), px(v * sy)] as const),
        moves: stretchesOf(moves, tracker.numbers),
      };
    });
    this.foundParts = this.foundPieces(lookedOf).map((piece, i) => {
      const { x, y } = polygonCentroid(piece.outline);
      const part = createPart({
        id: `found-${i + 1}`,
        name: `found-${i + 1}: ${placeInWords(x, y, setup.analysisWidth, setup.analysisHeight)}`,
        kind: "found",
        outlines: [
          { frame: first, points: piece.outline.map(([u, v]) => [px(u * sx), px(v * sy)] as const), holes: [] },
        ],
      });
      const path = new PartPath([{ frame: first, outline: piece.outline, holes: [] }]);
      path.start(first);
      return { part, path, moves: tracker.numbers.map(() => false), joints: [] };
    });
  }

  /** What was hinted at, as the closer look shows it. */
  private foundPieces(
    lookedOf: (plan: string) => ReadonlyMap<FrameNumber, LeftOverMeasurement> | undefined,
  ): readonly FoundPiece[] {
    const { look, hints } = this;
    if (look === null || hints === null) return hints ?? [];
    return lookedAt(look, lookedOf(look.plan.id) ?? new Map(), hints);
  }

  /** Pieces of the set outside all outlines; none where the camera moves, since near and far then move apart. */
  findOutside(tracker: ShotTracker): void {
    const { sheet, width, height, analysisWidth, analysisHeight } = this.setup;
    if (sheet.camera.some(({ intent }) => intent === "moves")) return;
    const [scaleX, scaleY] = [width / analysisWidth, height / analysisHeight];
    const size = { width: analysisWidth, height: analysisHeight, scaleX, scaleY };
    this.outsideParts = outsidePieces(tracker, analysisWidth, analysisHeight).map((piece, i) =>
      outsidePart(piece, `outside-${i + 1}`, tracker, size),
    );
  }
}
