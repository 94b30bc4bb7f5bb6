export type { ShotContext } from "./checkSheet.ts";
export * from "./conventions.ts";
export * from "./geometry.ts";
export * from "./kinds.ts";
export { parseReport, type ReportResult } from "./parseReport.ts";
export { parseSheet, type SheetResult } from "./parseSheet.ts";
export {
  type CameraMotion,
  type Flag,
  type Made,
  type Report,
  type ReportFrame,
  type ReportPart,
  type ReportShot,
  REPORT_FORMAT,
  REPORT_VERSION,
  type Track,
  type Warning,
} from "./report.ts";
export * from "./sequence.ts";
export { serialiseReport } from "./serialiseReport.ts";
export { serialiseSheet } from "./serialiseSheet.ts";
export {
  type CameraIntent,
  createPart,
  createSheet,
  DEFAULT_FPS,
  type Intent,
  type Joint,
  type Mark,
  type Outline,
  type Part,
  type Point,
  type Polygon,
  type Sheet,
  SHEET_FORMAT,
  SHEET_VERSION,
  type SheetShot,
} from "./sheet.ts";
export * from "./sheetQueries.ts";
export * from "./time.ts";
export * from "./timecode.ts";
