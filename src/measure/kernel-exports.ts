/** What the module of ./kernels exports. Planes and buffers are addresses in its memory. */
export interface Kernels {
  readonly memory: { readonly buffer: ArrayBuffer; grow(pages: number): number };
  freeFrom(): number;
  resultAt(): number;
  gaussianWeightsAt(): number;
  partTileBytes(): number;
  toEvenScale(source: number, target: number, count: number): void;
  gaussianBlur(
    source: number,
    into: number,
    scratch: number,
    row: number,
    width: number,
    height: number,
    radius: number,
  ): void;
  splineCoefficients(source: number, into: number, width: number, height: number, turned: number): void;
  splineGradient(coefficients: number, intoX: number, intoY: number, width: number, height: number): void;
  halve(source: number, into: number, width: number, height: number): void;
  prepare(
    linear: number,
    even: number,
    coefficients: number,
    half: number,
    quarter: number,
    width: number,
    height: number,
    radius: number,
    rows: number,
    row: number,
    turned: number,
  ): void;
  subsetSums(t: number, gx: number, gy: number, stride: number, size: number): void;
  solveSubset(
    t: number,
    gx: number,
    gy: number,
    stride: number,
    coefficients: number,
    width: number,
    height: number,
    left: number,
    top: number,
    size: number,
    meanT: number,
    normT: number,
    meanX: number,
    meanY: number,
    slopeX: number,
    slopeY: number,
    hxx: number,
    hxy: number,
    hyy: number,
    seedX: number,
    seedY: number,
    range: number,
    mostIterations: number,
    converged: number,
    turned: number,
    xx: number,
    xy: number,
    yx: number,
    yy: number,
  ): void;
  subsetBlur(size: number, gain: number): void;
  subsetScores(size: number, gain: number): void;
  subsetScatter(size: number, radius: number): void;
  searchShift(
    reference: number,
    referenceWidth: number,
    current: number,
    width: number,
    height: number,
    left: number,
    top: number,
    size: number,
    radius: number,
    aroundX: number,
    aroundY: number,
    apart: number,
    scores: number,
  ): number;
  scatter(before: number, after: number, width: number, left: number, top: number, size: number): number;
  windowSum(plane: number, width: number, ix: number, iy: number, size: number, fx: number, fy: number): number;
  loadPart(part: number, pitch: number, count: number, tiles: number, sums: number): number;
  placePart(part: number, pitch: number, count: number, width: number): void;
  samplePart(
    part: number,
    pitch: number,
    count: number,
    out: number,
    coefficients: number,
    width: number,
    height: number,
    dx: number,
    dy: number,
    cosineLessOne: number,
    sine: number,
  ): void;
  accumulatePart(
    part: number,
    pitch: number,
    runs: number,
    tiles: number,
    sampled: number,
    weight: number,
    perRadius: number,
    sums: number,
    out: number,
  ): void;
  residualsOfPart(part: number, pitch: number, runs: number, sampled: number, levels: number, error: number): void;
  lightRow(
    data: number,
    wide: number,
    stride: number,
    green: number,
    blue: number,
    table: number,
    codes: number,
    count: number,
    values: number,
  ): void;
  addLight(values: number, count: number, weight: number, sum: number): void;
  shareLight(values: number, count: number, weight: number, sum: number, left: number, next: number): void;
  reduceLight(
    sum: number,
    last: number,
    inside: number,
    left: number,
    count: number,
    source: number,
    total: number,
    out: number,
  ): void;
  plainLight(values: number, count: number, out: number): void;
  medianResidual(error: number, count: number, step: number, scratch: number): number;
  weighPart(
    part: number,
    pitch: number,
    runs: number,
    tiles: number,
    error: number,
    weight: number,
    limit: number,
    sums: number,
    out: number,
  ): void;
}
