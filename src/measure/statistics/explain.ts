import { type History, historyOfFit, type Series } from "./history.ts";
import { cholesky, inverse } from "./matrix.ts";
import { type Regression, startRegression, withColumn } from "./regression.ts";
import { type Candidate, type Menu, placesOf, type Prior, scan } from "./scan.ts";
import { columnOf, type Family, familyOf, type Shape } from "./shapes.ts";

// The history of a series: which lines, bends, steps and pops it takes to explain it, and nothing more. Forward choice
// by evidence (BIC, Schwarz 1978) with a look ahead, since two like outliers hide each other (the idea of Rosner 1983,
// generalised extreme Studentised deviate); then each event is moved to where it fits best beside the others, those that
// the others can do without are taken out, and those that are no longer significant are dropped.

export interface ExplainOptions extends Menu {
  /** What a statistic must exceed, by family. */
  readonly thresholds: Readonly<Record<Family, number>>;
  /** Most events that may be told. */
  readonly most: number;
  /** Columns that are fitted beside the intercept whatever happens, and are no events. */
  readonly base?: readonly Float64Array[];
}

/** Stages that may stay below the threshold before a search gives up. */
const LOOK_AHEAD = 2;
const POLISH_ROUNDS = 3;
/** Steps and pops within so many rows can take each other's place. */
const NEXT_ROWS = 3;
/** An event moves only for a gain in evidence that is no rounding. */
const WORTH_MOVING = 1e-6;

const everyFamily: readonly Family[] = ["slow", "step", "pop"];

/**
 * @param series values with their weights and prior scatter; an intercept is always fitted
 * @returns null where there is nothing to fit: no rows, a prior that is no covariance, a base that isn't independent
 */
export function explain(series: Series, options: ExplainOptions): History | null {
  const rows = series.weights.length;
  if (rows === 0) return null;
  const nothing = startRegression(series.values, series.dims, series.weights);
  const base = [new Float64Array(rows).fill(1), ...(options.base ?? [])];
  const start = base.reduce<Regression | null>((fit, column) => fit && withColumn(fit, column), nothing);
  if (start === null || precisionOf(start, series.prior) === null) return null;
  const search = new Search(series, options, start);
  const best = search.best();
  // A curve that was taken first can hide that a few straight pieces fit better.
  const curved = best.some(({ kind }) => kind === "exponential" || kind === "logarithm");
  const straight = curved ? new Search(series, { ...options, slow: "knees" }, start).best() : [];
  const shapes = search.evidence(straight) > search.evidence(best) ? straight : best;
  const final = search.fitted(shapes);
  const events = shapes.map((shape, k) => ({
    shape,
    statistic: search.statistic(shapes, k),
    threshold: options.thresholds[familyOf(shape)],
  }));
  const { thresholds } = options;
  return final === null ? null : historyOfFit(final, series, { events, highest: search.highest, thresholds });
}

function whole({ scatter }: Regression, prior: Prior): Float64Array {
  return scatter.map((value, i) => value + prior.rows * prior.covariance[i]);
}

const precisionOf = (fit: Regression, prior: Prior): Float64Array | null => inverse(whole(fit, prior), fit.dims);

/** The significant candidate with the most evidence; failing that, the one with the most evidence. */
function pick(best: ReadonlyMap<Family, Candidate>, thresholds: Readonly<Record<Family, number>>): Candidate | null {
  const isSignificant = (candidate: Candidate) => candidate.statistic > thresholds[familyOf(candidate.shape)];
  let chosen: Candidate | null = null;
  for (const family of everyFamily) {
    const candidate = best.get(family);
    if (candidate === undefined) continue;
    const rank = Number(isSignificant(candidate)) - (chosen === null ? -1 : Number(isSignificant(chosen)));
    if (rank > 0 || (rank === 0 && candidate.evidence > (chosen?.evidence ?? 0))) chosen = candidate;
  }
  return chosen;
}

/** One search: a list of shapes, and what it takes to better it. */
class Search {
  readonly highest: Record<Family, number> = { slow: 0, step: 0, pop: 0 };
  private readonly series: Series;
  private readonly options: ExplainOptions;
  private readonly start: Regression;
  private readonly trail: { readonly shape: Shape; readonly fit: Regression | null }[] = [];

  constructor(series: Series, options: ExplainOptions, start: Regression) {
    this.series = series;
    this.options = options;
    this.start = start;
  }

  /** The fit of a list of shapes; what it begins with like the last list is not fitted again. */
  fitted(shapes: readonly Shape[]): Regression | null {
    const like = this.trail.findIndex(({ shape }, k) => shape !== shapes[k]);
    if (like >= 0) this.trail.length = like;
    for (const shape of shapes.slice(this.trail.length)) {
      const before = this.trail.length === 0 ? this.start : this.trail[this.trail.length - 1].fit;
      const fit = before && withColumn(before, columnOf(shape, this.options.axes, this.start.rows));
      this.trail.push({ shape, fit });
    }
    return this.trail.length === 0 ? this.start : this.trail[this.trail.length - 1].fit;
  }

  best(): readonly Shape[] {
    return this.significant(this.simplified(this.polished(this.found())));
  }

  /** Shapes by forward choice, up to the last significant one. */
  private found(): readonly Shape[] {
    const { families, most } = this.options;
    // Anything first, then steps or pops alone: two of a kind can hide each other behind a third shape.
    const single = families.length < 2 ? [] : families.filter((family) => family !== "slow").map((family) => [family]);
    let shapes: readonly Shape[] = [];
    for (;;) {
      const stages = Math.min(LOOK_AHEAD + 1, most - shapes.length);
      const more = [families, ...single].map((menu) => () => this.extension(shapes, menu, stages));
      const next = firstOf(more, (extension) => extension.length > 0);
      if (next === null) return shapes;
      shapes = [...shapes, ...next];
    }
  }

  /** Further shapes up to the first significant one, within so many stages; none where none is. */
  private extension(shapes: readonly Shape[], families: readonly Family[], stages: number): readonly Shape[] {
    const path: Shape[] = [];
    let fit = this.fitted(shapes);
    while (fit !== null && path.length < stages) {
      const best = this.scanned(fit, { ...this.options, families });
      for (const [family, { statistic }] of best) this.highest[family] = Math.max(this.highest[family], statistic);
      const chosen = pick(best, this.options.thresholds);
      if (chosen === null) return [];
      path.push(chosen.shape);
      if (chosen.statistic > this.options.thresholds[familyOf(chosen.shape)]) return path;
      fit = withColumn(fit, columnOf(chosen.shape, this.options.axes, fit.rows));
    }
    return [];
  }

  private scanned(fit: Regression, menu: Menu): ReadonlyMap<Family, Candidate> {
    const precision = precisionOf(fit, this.series.prior);
    return precision === null ? new Map() : scan(fit, precision, this.series.prior, menu);
  }

  /** One of the shapes beside the rest of them. */
  private beside(shapes: readonly Shape[], k: number): Candidate | null {
    const rest = this.fitted(shapes.toSpliced(k, 1));
    const only = shapes[k];
    return rest === null ? null : (this.scanned(rest, { ...this.options, only }).get(familyOf(only)) ?? null);
  }

  statistic(shapes: readonly Shape[], k: number): number {
    return this.beside(shapes, k)?.statistic ?? 0;
  }

  /** Each of the shapes that may in turn moved, or exchanged, to where the evidence beside the others is best. */
  private polished(given: readonly Shape[], may: (shape: Shape) => boolean = () => true): readonly Shape[] {
    let shapes = given;
    for (let round = 0; round < POLISH_ROUNDS; round++) {
      let moved = false;
      for (let k = 0; k < shapes.length; k++) {
        if (!may(shapes[k])) continue;
        const rest = this.fitted(shapes.toSpliced(k, 1));
        const best = rest === null ? null : pick(this.scanned(rest, this.options), this.options.thresholds);
        const now = this.beside(shapes, k)?.evidence ?? Number.NEGATIVE_INFINITY;
        if (best === null || best.evidence <= now + WORTH_MOVING) continue;
        shapes = shapes.with(k, best.shape);
        moved = true;
      }
      if (!moved) break;
    }
    return shapes;
  }

  /** Without the shapes that the others can do without, those next to them moved a little. */
  private simplified(given: readonly Shape[]): readonly Shape[] {
    let shapes = given;
    for (let k = 0; k < shapes.length && shapes.length > 1; ) {
      const fewer = this.polished(shapes.toSpliced(k, 1), isNextTo(shapes[k]));
      const better = this.evidence(fewer) > this.evidence(shapes) + WORTH_MOVING;
      if (better) shapes = fewer;
      k = better ? 0 : k + 1;
    }
    return shapes;
  }

  /** Log-evidence of a list of shapes, times two, up to a constant (Schwarz 1978). */
  evidence(shapes: readonly Shape[]): number {
    const fit = this.fitted(shapes);
    const { prior, dims } = this.series;
    const lower = fit === null ? null : cholesky(whole(fit, prior), dims);
    if (lower === null) return Number.NEGATIVE_INFINITY;
    let logarithm = 0;
    for (let d = 0; d < dims; d++) logarithm += 2 * Math.log(lower[d * dims + d]);
    const rows = this.start.rows + prior.rows;
    const parameters = shapes.reduce((sum, shape) => sum + dims + placesOf(shape), 0);
    return -rows * logarithm - parameters * Math.log(rows);
  }

  /** Without those that are not significant beside the others, the least significant first. */
  private significant(given: readonly Shape[]): readonly Shape[] {
    let shapes = given;
    while (shapes.length > 0) {
      const now = shapes;
      const ratios = now.map((shape, k) => this.statistic(now, k) / this.options.thresholds[familyOf(shape)]);
      const least = ratios.indexOf(Math.min(...ratios));
      if (ratios[least] > 1) break;
      shapes = shapes.toSpliced(least, 1);
    }
    return shapes;
  }
}

const isNextTo = (one: Shape) => (other: Shape) =>
  (one.kind === "step" || one.kind === "pop") &&
  (other.kind === "step" || other.kind === "pop") &&
  Math.abs(one.at - other.at) <= NEXT_ROWS;

function firstOf<T>(tries: readonly (() => T)[], good: (result: T) => boolean): T | null {
  for (const attempt of tries) {
    const result = attempt();
    if (good(result)) return result;
  }
  return null;
}
