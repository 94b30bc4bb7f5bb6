import { SHEET_FILE } from "../../model/conventions.ts";
import { REPORT_FORMAT, SHEET_FORMAT } from "../../model/index.ts";
import { fileOf, type Picked } from "./picked.ts";

export interface TextFile {
  readonly name: string;
  readonly text: string;
  /** Of the file's bytes, hexadecimal. */
  readonly sha256: string;
}

/** A text as the file that it would be. */
export const textFileOf = (name: string, text: string): Promise<TextFile> => textFile(name, new Blob([text]));

async function textFile(name: string, file: Blob): Promise<TextFile> {
  const bytes = await file.arrayBuffer();
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return {
    name,
    text: new TextDecoder().decode(bytes),
    sha256: [...hash].map((byte) => byte.toString(16).padStart(2, "0")).join(""),
  };
}

/** Sheets and reports among the files: by what they say they are, a file called holdfast-sheet.json by its name. */
export async function documentsAmong(files: readonly Picked[]): Promise<{
  readonly sheets: readonly TextFile[];
  readonly reports: readonly TextFile[];
  readonly others: readonly string[];
}> {
  const sheets: TextFile[] = [];
  const reports: TextFile[] = [];
  const others: string[] = [];
  for (const picked of files) {
    if (!/\.json$/iu.test(picked.name)) continue;
    const file = await textFile(picked.name, await fileOf(picked));
    const says = /"format"\s*:\s*"([^"]*)"/u.exec(file.text)?.[1];
    if (picked.name === SHEET_FILE) sheets.unshift(file);
    else if (says === SHEET_FORMAT) sheets.push(file);
    else if (says === REPORT_FORMAT) reports.push(file);
    else others.push(picked.name);
  }
  return { sheets, reports, others };
}
