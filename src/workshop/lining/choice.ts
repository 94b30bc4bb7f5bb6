import { type Fault, faultsOf, type Range } from "../faults.ts";
import { bendingLength, type Cloth, clothFaults } from "./cantilever.ts";
import { bondShare, type Pair, pairOf } from "./layers.ts";

// Which lining lets the cloth fold small enough and still brings it back, and where to open it.

export interface Candidate {
  readonly id: string;
  readonly name: string;
  readonly cloth: Cloth;
  /** How far a folded strip opens again by itself: 180 is flat, 0 stays folded; degrees. */
  readonly recoveryDegrees: number;
  /** Shell and this lining tested together, as they will be sewn; null where nobody did. */
  readonly both: Cloth | null;
}

export interface LiningInput {
  /** The figure's size against life: 1/6 is 0.1667. */
  readonly scale: number;
  readonly shell: Cloth;
  readonly shellRecoveryDegrees: number;
  /** Bending length of the real cloth that the puppet's is to look like, mm. */
  readonly fullSizeBendingMm: number;
  /** What is still taken for the same look, as a share of the bending length. */
  readonly tolerance: number;
  /** Recovery from which on a fold counts as gone, degrees. */
  readonly wantedRecoveryDegrees: number;
  readonly candidates: readonly Candidate[];
  readonly bend: Bend | null;
}

/** A joint that the cloth goes round. */
export interface Bend {
  /** Thickness of the limb with what is under the cloth, mm. */
  readonly limbMm: number;
  /** Furthest that it bends in the shot, degrees. */
  readonly degrees: number;
}

export function liningFaults(input: LiningInput): readonly Fault[] {
  const angle = { unit: "degrees", least: 0, most: 180 };
  return [
    ...faultsOf([
      ["scale", input.scale, { what: "The puppet's scale", unit: "", above: 0, most: 1 }],
      ["shellRecovery", input.shellRecoveryDegrees, { what: "The recovery of the shell", ...angle }],
      ["fullSize", input.fullSizeBendingMm, { what: "The bending length of the real cloth", unit: "mm", above: 0 }],
      ["tolerance", input.tolerance, { what: "The tolerance", unit: "", above: 0, most: 1 }],
      ["wantedRecovery", input.wantedRecoveryDegrees, { what: "The wanted recovery", ...angle }],
    ]),
    ...clothFaults("shell", "the shell", input.shell),
    ...input.candidates.flatMap(({ id, name, cloth, recoveryDegrees, both }) => [
      ...clothFaults(`candidates.${id}`, name, cloth),
      ...faultsOf([[`candidates.${id}.recovery`, recoveryDegrees, { what: `The recovery of ${name}`, ...angle }]]),
      ...(both === null ? [] : clothFaults(`candidates.${id}.both`, `shell and ${name} together`, both)),
    ]),
    ...(input.bend === null
      ? []
      : faultsOf([
          ["limb", input.bend.limbMm, { what: "The thickness of the limb", unit: "mm", above: 0 }],
          ["bend", input.bend.degrees, { what: "The bend", unit: "degrees", above: 0, most: 170 }],
        ])),
  ];
}

export type FoldAnswer = "folds" | "folds-if-it-slides" | "too-stiff" | "too-limp";

export interface CandidateAnswer {
  readonly id: string;
  readonly name: string;
  readonly pair: Pair;
  /** mm; a range where only the bounds are known, one value where the pair was tested. */
  readonly bendingMm: Range;
  /** The full-size cloth that would hang like this, bending length, mm. */
  readonly likeFullSizeMm: Range;
  readonly folds: FoldAnswer;
  /** Degrees that the pair opens again; a rough figure from both recoveries, each weighed by its stiffness. */
  readonly recoveryDegrees: number;
  readonly comesBack: boolean;
  /** 0 slides, 1 bonded; null where the pair was not tested. */
  readonly bondShare: number | null;
  readonly does: boolean;
}

export interface LiningAnswer {
  /** Bending length that the puppet's cloth should have, mm: the real cloth's by the scale. */
  readonly wantedMm: number;
  /** What the shell alone does, mm, and as what full-size cloth it would hang. */
  readonly shellMm: number;
  readonly shellLikeFullSizeMm: number;
  /** Linings that do come first, the one nearest to the wanted bending length before others. */
  readonly candidates: readonly CandidateAnswer[];
  readonly opening: Opening | null;
}

/** Where the lining is taken out at a bend. */
export interface Opening {
  /** Cloth that has to go somewhere on the inside of the bend, mm. */
  readonly surplusMm: number;
  /** Length of lining to take out, centred on the crease at the inside of the bend, mm. */
  readonly lengthMm: number;
  /** Of the shell alone, about its bending length: what folds it makes there, mm. */
  readonly foldMm: number;
}

/**
 * Inside of a bend: both sides of the limb are arcs of the same angle, the inner one shorter by thickness times angle.
 * That surplus has to fold. Lined cloth can't fold smaller than about its bending length, so the lining comes out over
 * the surplus and a bending length of the shell at either end. Geometry, and common practice for the ends.
 */
export function openingAt({ limbMm, degrees }: Bend, shellMm: number): Opening {
  const surplusMm = (limbMm * degrees * Math.PI) / 180;
  return { surplusMm, lengthMm: surplusMm + 2 * shellMm, foldMm: shellMm };
}

function answerFor(input: LiningInput, candidate: Candidate, wantedMm: number): CandidateAnswer {
  const { shell, tolerance, scale } = input;
  const pair = pairOf(shell, candidate.cloth);
  const tested = candidate.both === null ? null : bendingLength(candidate.both.overhangMm);
  const bendingMm = tested === null ? pair.bendingMm : { low: tested, high: tested };
  const [least, most] = [wantedMm * (1 - tolerance), wantedMm * (1 + tolerance)];
  const folds: FoldAnswer =
    bendingMm.low > most
      ? "too-stiff"
      : bendingMm.high < least
        ? "too-limp"
        : bendingMm.high > most
          ? "folds-if-it-slides"
          : "folds";
  // Two layers that were folded alike share a curvature at which their pulls are even: each wants back to its own.
  const [own, other] = [shell, candidate.cloth].map(({ overhangMm, weightGsm }) => weightGsm * overhangMm ** 3);
  const recoveryDegrees = (own * input.shellRecoveryDegrees + other * candidate.recoveryDegrees) / (own + other);
  const comesBack = recoveryDegrees >= input.wantedRecoveryDegrees;
  return {
    id: candidate.id,
    name: candidate.name,
    pair,
    bendingMm,
    likeFullSizeMm: { low: bendingMm.low / scale, high: bendingMm.high / scale },
    folds,
    recoveryDegrees,
    comesBack,
    bondShare: candidate.both === null ? null : bondShare(pair, candidate.both),
    does: comesBack && (folds === "folds" || folds === "folds-if-it-slides"),
  };
}

/**
 * What each lining would do, for input without faults. Folds look right where the bending length stands to the puppet as
 * the real cloth's to a person: a cloth's folds are as large as its bending length, whatever else it is (Peirce 1930; from memory).
 */
export function chooseLining(input: LiningInput): LiningAnswer {
  const wantedMm = input.fullSizeBendingMm * input.scale;
  const shellMm = bendingLength(input.shell.overhangMm);
  const off = ({ bendingMm }: CandidateAnswer) => Math.abs(Math.log((bendingMm.low + bendingMm.high) / 2 / wantedMm));
  const rank = ({ does, folds }: CandidateAnswer) => (does ? (folds === "folds" ? 0 : 1) : 2);
  return {
    wantedMm,
    shellMm,
    shellLikeFullSizeMm: shellMm / input.scale,
    candidates: input.candidates
      .map((candidate) => answerFor(input, candidate, wantedMm))
      .sort((a, b) => rank(a) - rank(b) || off(a) - off(b)),
    opening: input.bend === null ? null : openingAt(input.bend, shellMm),
  };
}
