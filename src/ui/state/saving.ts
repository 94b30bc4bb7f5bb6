import { serialiseReport, serialiseSheet } from "../../model/index.ts";
import { saveText } from "../opening/save.ts";
import { session } from "./session.ts";

const fileName = (kind: string) => `${(session.get().shot ?? "shot").replace(/[^\w.-]+/gu, "_")}.${kind}.json`;

export function saveReport(): void {
  const { report } = session.get();
  if (report) saveText(fileName("report"), serialiseReport(report));
}

export function saveSheet(): void {
  const { sheet } = session.get();
  if (sheet) saveText(fileName("sheet"), serialiseSheet(sheet));
}
