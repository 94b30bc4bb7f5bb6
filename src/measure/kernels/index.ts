// The measuring core's inner loops in WebAssembly with SIMD. AssemblyScript: TypeScript's syntax, but numbers are typed
// and pictures are addresses into one memory. Each function has its twin in TypeScript, in the file of the same name
// one folder up, which says what it computes; here only how. Built by .scripts/kernels.mjs.
//
// Planes are float32, row-major, without gaps, followed by at least 64 bytes that may be read: a vector's unused lanes
// reach over the last row's end.

export { scatter, windowSum } from "./cells";
export { toEvenScale } from "./even-scale";
export { gaussianBlur, gaussianWeightsAt } from "./gaussian";
export { halve } from "./halve";
export { placePart, samplePart } from "./part-sample";
export {
  accumulatePart,
  loadPart,
  medianResidual,
  partTileBytes,
  residualsOfPart,
  weighPart,
} from "./part-sums";
export { prepare } from "./prepare";
export { addLight, lightRow, plainLight, reduceLight, shareLight } from "./reduce";
export { resultAt } from "./result";
export { searchShift } from "./search";
export { splineCoefficients, splineGradient } from "./spline";
export { solveSubset, subsetSums } from "./subset";
export { subsetBlur } from "./subset-blur";
export { subsetScatter, subsetScores } from "./subset-scores";

/** Where memory is free from: what lies below belongs to the module. */
export function freeFrom(): usize {
  return __heap_base;
}
