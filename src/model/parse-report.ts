import { parseJson } from "./json.ts";
import { formatFault, isObject, itemName, refusals, sentenceOf } from "./refusal.ts";
import { type Report, REPORT_FORMAT, REPORT_VERSION, reportSchema } from "./report.ts";

/** A report can be wrong in every row in the same way; more than this many reasons help nobody. */
const MOST_REASONS = 50;

export type ReportResult = { readonly report: Report } | { readonly refusals: readonly string[] };

/** What the rows of a report name must be in it. */
const referenceFaults = (report: Report): string[] => {
  const faults: string[] = [];
  const parts = new Set<string>();
  report.parts.forEach(({ id }, i) => {
    if (parts.has(id)) faults.push(`part ${i + 1} has the id '${id}', which an earlier part has already`);
    parts.add(id);
  });
  const frames = new Set<number>(report.shot.frames);
  report.shot.frames.forEach((frame, i, all) => {
    if (i > 0 && frame <= all[i - 1]) faults.push(`shot: frame number ${i + 1} is ${frame}, not after ${all[i - 1]}`);
  });
  report.frames.forEach(({ frame }, i) => {
    if (!frames.has(frame)) faults.push(`frame row ${i + 1} is for frame ${frame}, which the shot doesn't list`);
  });
  report.tracks.forEach(({ part, frame }, i) => {
    if (!parts.has(part)) faults.push(`track ${i + 1} is of '${part}', which is no part of this report`);
    if (!frames.has(frame)) faults.push(`track ${i + 1} is for frame ${frame}, which the shot doesn't list`);
  });
  report.flags.forEach((flag, i) => {
    const place = itemName("flag", flag, i);
    for (const part of [flag.part, ...flag.carries]) {
      if (part !== null && !parts.has(part)) faults.push(`${place} names '${part}', which is no part of this report`);
    }
    if (flag.from > flag.to) faults.push(`${place} (${flag.from} to ${flag.to}) ends before it begins`);
  });
  return faults;
};

/** The report in a file's text, or every reason why it is refused, each naming the file. Never throws. */
export const parseReport = (text: string, file: string): ReportResult => {
  const json = parseJson(text);
  if ("fault" in json) return refusals(file, [json.fault]);
  const fault = formatFault(json.value, REPORT_FORMAT, REPORT_VERSION);
  if (fault !== null || !isObject(json.value)) return refusals(file, [fault ?? ""]);
  const parsed = reportSchema.safeParse(json.value);
  const reasons = parsed.success
    ? referenceFaults(parsed.data)
    : parsed.error.issues.map((issue) => sentenceOf(issue, json.value, "the report"));
  if (parsed.success && reasons.length === 0) return { report: parsed.data };
  const more = reasons.length - MOST_REASONS;
  return refusals(file, more > 0 ? [...reasons.slice(0, MOST_REASONS), `and ${more} more like these`] : reasons);
};
