// The contract between threads: types, no behaviour. What a check is made of belongs to the analysis; it is told on here
// for those that carry messages and must know nothing else of it.

export type {
  Answer,
  CheckJob,
  Code,
  FrameFile,
  FrameHeader,
  FrameOutcome,
  HoldPlan,
  JudgeWorker,
  MeasurePlan,
  MeasureWorker,
  Step,
  Task,
} from "../analysis/contract.ts";
export type { Proof, Report } from "../model/index.ts";
