import type { ShotRecord } from "./records.ts";
import type { Report } from "./report.ts";

/** True where a report is of this shot, by what both say of themselves: frames alone could prove it. */
export const isReportOf = (report: Report, { name, folder, width, height }: ShotRecord): boolean =>
  name === report.shot.name &&
  folder === report.shot.folder &&
  width === report.shot.width &&
  height === report.shot.height;
