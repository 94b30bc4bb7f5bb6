import { type Part, type PartProof } from "../../model/index.ts";
import { type FrameNumber, px, radians } from "../../units/index.ts";
import { judgeInput } from "../build-report.ts";
import type { CheckJob, HoldPlan, PutMotion } from "../contract.ts";
import { judge } from "../judge.ts";
import { defaultBands, pxBandKeys } from "../kinds/index.ts";
import { isSetKind } from "../kinds/part-finding.ts";
import type { PartMeasurement } from "../measurement.ts";
import type { SegmentSeries, SeriesSource } from "../segment-series.ts";
import type { Segment } from "../segments.ts";
import type { Hold, JudgeInput } from "../series.ts";
import type { ShotSetup } from "../shot-setup.ts";
import { heldSeries } from "../shot-series.ts";
import type { AnalysedFrame } from "../shot-tracker.ts";
import { TOLERANCE, whatCameBack } from "./came-back.ts";
import { driftAt, driftShape, type DriftShape, knownAt, putMotions } from "./drift-shape.ts";
import { withoutOwnDrift } from "./own-drift.ts";
import { proofWords } from "./proof-words.ts";
import { edgeOf, firstSizes, fullSize, sizesBetween } from "./sizes.ts";

/** The shot as its check left it. */
export interface ProverSource {
  readonly job: CheckJob;
  readonly setup: ShotSetup;
  readonly series: SeriesSource;
  readonly segments: ReadonlyMap<string, readonly Segment[]>;
  /** Camera and light without an injection. */
  readonly frames: readonly AnalysedFrame[];
}

/** What a drift of one size showed, judged with the band opened. */
interface Shown {
  readonly px: number;
  readonly flagged: boolean;
  /** Uncertainty of the size that the flag tells; NaN without a flag. */
  readonly sigma: number;
}

type Flag = ReturnType<typeof judge>["flags"][number];

/** A flag counts for the drift where it goes the same way: cosine. */
const SAME_WAY = 0.5;
/** Without a number in more of its frames than this share nothing is proved. */
const LEAST_MEASURED = 0.5;

const nothing: ReadonlyMap<FrameNumber, PartMeasurement> = new Map();

/**
 * One part with drifts put into its hold. It is judged by itself: other parts' drifts, and its own real one, can't help
 * or hide what was put in. Sizes are in px of the original frame.
 */
export class PartProver {
  readonly part: Part;
  readonly shape: DriftShape;
  /** Size of the drift that has to come back. */
  readonly full: number;
  private readonly plain: Hold;
  private readonly bandPx: number;
  private readonly way: readonly [number, number];
  private readonly kind: "set-shift" | "sag";
  private readonly shown: Shown[] = [];
  private result: Omit<PartProof, "smallest" | "tried" | "message"> | null = null;
  private reason = "its frames could not be read";

  constructor(
    private readonly source: ProverSource,
    readonly plan: HoldPlan,
    private readonly segment: Segment,
  ) {
    const { setup, series, job, frames } = source;
    const { part } = segment;
    const plain = heldSeries(series, segment, plan);
    const joint = plain.joints.find(({ id }) => part.joints.some((own) => own.id === id)) ?? null;
    this.part = part;
    this.kind = isSetKind(part.kind) ? "set-shift" : "sag";
    this.bandPx = job.bandPx ?? part.bandPx ?? defaultBands[this.kind];
    this.full = fullSize(this.bandPx);
    this.shape = driftShape(part, plan, segment.frames, joint, setup.sheet.down);
    this.plain = this.judged(plain, frames).hold;
    const [x, y] = this.known(this.full, this.last);
    this.way = [x / Math.hypot(x, y), y / Math.hypot(x, y)];
  }

  private get scaleX(): number {
    return this.source.setup.width / this.source.setup.analysisWidth;
  }

  private get scaleY(): number {
    return this.source.setup.height / this.source.setup.analysisHeight;
  }

  private get last(): FrameNumber {
    return this.shape.frames[this.shape.frames.length - 1];
  }

  private get measured(): ReadonlyMap<FrameNumber, PartMeasurement> {
    return this.source.series.measured.get(this.plan.id) ?? nothing;
  }

  /** A hold alone, in px of the original frame, with all else that is judged. */
  private judged(
    series: SegmentSeries,
    frames: readonly AnalysedFrame[],
  ): { readonly input: JudgeInput; readonly hold: Hold } {
    const { job, setup } = this.source;
    const input = judgeInput(job, setup, frames, [series.segment.part], [series]);
    return { input, hold: input.holds[0] };
  }

  /** Sizes to try in the first round, and in those after it. */
  sizes(round: number): readonly number[] {
    return round === 0 ? firstSizes(this.full) : sizesBetween(this.shown);
  }

  motions(size: number): readonly PutMotion[] {
    return putMotions(this.shape, size / this.scaleX, this.measured);
  }

  /**
   * Judges a drift of one size.
   * @param rows what was measured on the part with it in the frames
   * @param frames cameras that were fitted with it in the frames
   */
  read(size: number, rows: ReadonlyMap<FrameNumber, PartMeasurement>, frames: readonly AnalysedFrame[]): void {
    const cameras = new Map(frames.map((frame) => [frame.frame, frame.camera] as const));
    const measured = new Map([[this.plan.id, new Map([...this.measured, ...rows])]]);
    const series = heldSeries({ ...this.source.series, cameras, measured }, this.segment, this.plan);
    const { input, hold } = this.judged(series, frames);
    const { hold: own, taken } = withoutOwnDrift(hold, this.plain, input.frames);
    const opened = Object.fromEntries(pxBandKeys.map((key) => [key, 0]));
    const flag = this.flagOf({ ...input, holds: [own], bands: opened });
    this.shown.push({ px: size, flagged: flag !== null && this.isRight(flag), sigma: flag?.sigma ?? Number.NaN });
    if (size === this.full) this.result = this.resultOf(hold, { ...input, holds: [own] }, taken);
  }

  /** The flag on the part: the one that is right where there are several. */
  private flagOf(input: JudgeInput): Flag | null {
    const flags = judge(input).flags.filter(({ part }) => part === this.part.id);
    return flags.find((flag) => this.isRight(flag)) ?? flags[0] ?? null;
  }

  private isRight({ kind, direction }: Flag): boolean {
    const [x, y] = this.way;
    return kind === this.kind && direction !== null && direction[0] * x + direction[1] * y > SAME_WAY;
  }

  /** Known displacement of the place that goes farthest. */
  private known(size: number, frame: FrameNumber): readonly [number, number] {
    const [x, y] = knownAt(this.shape, size / this.scaleX, frame, this.measured.get(frame), this.shape.far);
    return [x * this.scaleX, y * this.scaleY];
  }

  private resultOf(hold: Hold, input: JudgeInput, taken: boolean): PartProver["result"] {
    const { shape, part, full, plain, way } = this;
    const known = new Map(shape.frames.map((frame) => [frame, this.known(full, frame)] as const));
    const far: [number, number] = [shape.far[0] * this.scaleX, shape.far[1] * this.scaleY];
    const { frames, cameBack } = whatCameBack(hold, plain, far, known, way, TOLERANCE * this.scaleX);
    const told = frames.filter(({ measuredPx }) => measuredPx !== null).length;
    if (cameBack === null || told < LEAST_MEASURED * frames.length) {
      const reason = hold.rows.find((row) => !Number.isFinite(row.dx))?.reason ?? "";
      this.reason = reason === "" ? "it gives no number" : reason;
      return null;
    }
    const flag = this.flagOf(input);
    const named = flag === null ? [] : [flag.joint, ...(flag.alsoJoints ?? [])];
    return {
      part: part.id,
      name: part.name,
      kind: part.kind,
      anchor: this.plan.anchor,
      from: shape.frames[0],
      to: this.last,
      put: {
        px: px(full),
        at: [px(far[0]), px(far[1])],
        direction: [way[0], way[1]],
        turn: radians(driftAt(shape, full / this.scaleX, this.last).turn),
        joint: shape.joint?.id ?? null,
      },
      bandPx: px(this.bandPx),
      ownDriftTakenOff: taken,
      frames,
      cameBack,
      flag:
        flag === null
          ? null
          : {
              kind: flag.kind,
              rightKind: this.isRight(flag),
              px: flag.px,
              sigma: flag.sigma,
              from: flag.from,
              to: flag.to,
              joint: flag.joint,
              rightJoint: shape.joint === null ? null : named.includes(shape.joint.id),
            },
    };
  }

  /** All that is known of the part once its sizes are tried, or why nothing is. */
  proof(): PartProof | { readonly reason: string } {
    const { result, shown } = this;
    if (result === null) return { reason: this.reason };
    const edge = edgeOf(shown);
    const at = shown.find(({ px: size }) => size === edge?.seen);
    // Another shot of the same noise would show it at a size that is off by what the noise makes of it.
    const smallest =
      edge === null || at === undefined
        ? null
        : {
            px: px(edge.seen),
            sigma: px(Math.hypot(at.sigma, (edge.seen - (edge.notSeen ?? 0)) / Math.sqrt(12))),
            notSeenPx: edge.notSeen === null ? null : px(edge.notSeen),
          };
    const tried = shown.toSorted((a, b) => a.px - b.px).map(({ px: size, flagged }) => ({ px: px(size), flagged }));
    const told = { ...result, smallest, tried };
    const names = new Map(this.plain.joints.map(({ id, name }) => [id, name] as const));
    const noun = this.kind === "sag" ? "sag" : "shift";
    return { ...told, message: proofWords(told, noun, (id) => names.get(id) ?? id) };
  }
}
