export type { ShotContext } from "./check-sheet.ts";
export * from "./conventions.ts";
export { outlineAt, placeAt, shapeAt } from "./followed-outlines.ts";
export * from "./geometry.ts";
export { type Judged, carryVerdicts, freshFlags, judgedFlagOf } from "./carry-verdicts.ts";
export { growPuppets } from "./grow-puppets.ts";
export { HOLDS_VERSION, type HoldFlag, type HoldSummary, summariseHolds } from "./hold-summary.ts";
export * from "./kinds.ts";
export { displacementOf, farthestOf, sigmaOf } from "./moved-point.ts";
export { parseProof, type ProofResult } from "./parse-proof.ts";
export { parseReport, type ReportResult } from "./parse-report.ts";
export { proposeSheet } from "./propose-sheet.ts";
export { parseSheet, type SheetResult } from "./parse-sheet.ts";
export { type PartProof, type Proof, PROOF_FORMAT, PROOF_VERSION, type ProofFrame } from "./proof.ts";
export {
  type Break,
  type AnimatedReport,
  type CameraMotion,
  type Correction,
  type EaseBack,
  type Flag,
  type Forecast,
  type Made,
  type Report,
  type ReportFrame,
  type ReportPart,
  type ReportSurface,
  type ReportShot,
  REPORT_FORMAT,
  REPORT_VERSION,
  type Track,
  type Warning,
  type Watched,
} from "./report.ts";
export * from "./records.ts";
export { isReportOf } from "./report-of-shot.ts";
export * from "./sequence.ts";
export { serialiseProof } from "./serialise-proof.ts";
export { serialiseReport } from "./serialise-report.ts";
export { serialiseSheet } from "./serialise-sheet.ts";
export {
  type CameraIntent,
  createPart,
  createSheet,
  type Intent,
  type Joint,
  type Mark,
  type Outline,
  type Part,
  type Point,
  type Polygon,
  type Sheet,
  SHEET_FORMAT,
  type SheetShot,
} from "./sheet.ts";
export * from "./sheet-queries.ts";
export * from "./time.ts";
export * from "./timecode.ts";
