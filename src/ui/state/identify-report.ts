import { isReportOf, type Report, type ShotRecord, shotRecordSchema } from "../../model/index.ts";
import { sawRevision, update } from "./keeping.ts";
import { now, productionFor, setKept, takeFor } from "./kept-shot.ts";
import { session } from "./session.ts";
import { listKept, opened, readKept } from "./storage.ts";

// A report that was opened without its frames is a shot of the store too: verdicts on it are kept.

const slug = (text: string) => text.replace(/[^\w-]+/gu, "-").replace(/^-|-$/gu, "");

/** The id of a shot of which nothing but its report is known: the same for the same shot, whoever opens it. */
export const reportShotId = ({ shot: { folder, name, frames } }: Report): string =>
  ["report", slug(folder), slug(name), frames[0]].join("-");

/** The record of a shot of which nothing but its report is known. */
export async function reportShot(report: Report, id: string, production: string): Promise<ShotRecord> {
  const { name, folder, fps, width, height, frames } = report.shot;
  const at = now();
  return shotRecordSchema.parse({
    id,
    production,
    name,
    take: await takeFor(name, production, id),
    folder,
    fps,
    width,
    height,
    firstFrame: frames[0],
    lastFrame: frames[frames.length - 1],
    frameCount: frames.length,
    report: id,
    made: at,
    changed: at,
    opened: at,
  });
}

/**
 * Finds the shot of the store that a report is of, or makes one. A shot whose frames were checked here keeps its own
 * report: the one that was opened is shown, and what is decided about its flags goes to that shot.
 */
export async function identifyReport(report: Report): Promise<void> {
  if ((await opened) === null || report.shot.frames.length === 0) return;
  const shots = (await listKept("shot")).map(({ value }) => value);
  const there = shots.find((shot) => isReportOf(report, shot)) ?? null;
  const id = there?.id ?? reportShotId(report);
  const record = there ?? (await reportShot(report, id, await productionFor(false)));
  const keptSheet = await readKept("sheet", id);
  if (session.get().report !== report) return;
  if (keptSheet) sawRevision("sheet", id, keptSheet.revision);
  const isKept = record.fingerprint === null;
  if (isKept) update("shot", id, (was) => ({ ...record, ...was, opened: now() }));
  setKept(id, record.production, isKept ? null : report, isKept ? null : session.get().sheet);
  session.set({ id });
}
