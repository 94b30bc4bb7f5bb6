import type { FlagKind } from "../model/index.ts";
import type { SuccessOf } from "./rank.ts";
import type { Outcome } from "./workshop-file.ts";

/** How often a fix stopped the drift here. */
export interface Record {
  readonly stopped: number;
  readonly tried: number;
}

export const recordOf = (outcomes: readonly Outcome[], fixId: string, kind: FlagKind): Record => {
  const own = outcomes.filter((outcome) => outcome.fix === fixId && outcome.kind === kind);
  return { stopped: own.filter(({ stopped }) => stopped).length, tried: own.length };
};

/**
 * Expected success of a fix: mean of the Beta posterior from an even prior, (stopped + 1) / (tried + 2), Laplace's rule
 * of succession (from memory). One lucky try moves it to two thirds and no further; where nothing was tried it is a half.
 */
export const successRate = ({ stopped, tried }: Record): number => (stopped + 1) / (tried + 2);

export const successIn =
  (outcomes: readonly Outcome[], kind: FlagKind): SuccessOf =>
  (fixId) =>
    successRate(recordOf(outcomes, fixId, kind));
