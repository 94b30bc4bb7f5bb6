import {
  carryVerdicts,
  freshFlags,
  HOLDS_VERSION,
  isReportOf,
  type Report,
  summariseHolds,
} from "../../model/index.ts";
import { counted } from "../../reports/words.ts";
import { asKept } from "../../store/pack-report.ts";
import { reportShot, reportShotId } from "../state/identify-report.ts";
import { flush, replace, update } from "../state/keeping.ts";
import { dayOf, now, productionFor } from "../state/kept-shot.ts";
import { listKept, readKept, storage } from "../state/storage.ts";
import { benchData } from "./bench-data.ts";
import { breathe, nightReports } from "./night-reports.ts";

// Reports of a night run become shots of the store, by the rule of a report that is opened alone: what was checked here
// with its frames keeps its own report.

/** Keeps one report as a shot. */
async function keepOne(report: Report, id: string, production: string, isNew: boolean): Promise<void> {
  const rounded = asKept(report);
  const before = (await readKept("report", id))?.value.report ?? null;
  const verdicts = (await listKept("verdict", { shot: id })).map(({ value }) => value);
  const judged = carryVerdicts(report.flags, verdicts);
  const open = report.flags.filter(({ id: flag }) => judged.get(flag)?.state !== "settled").length;
  const at = now();
  const told = {
    report: id,
    shootingDay: dayOf(report),
    found: { flags: report.flags.length, open },
    freshFlags: before === null ? [] : freshFlags(report.flags, before.flags),
    changed: at,
  };
  const record = isNew ? await reportShot(report, id, production) : null;
  update("shot", id, (there) => {
    const known = there ?? record;
    return known === null ? null : { ...known, ...told };
  });
  replace("report", id, () => ({ id, shot: id, report: rounded, changed: at }));
  replace("holds", id, () => ({ id, shot: id, version: HOLDS_VERSION, holds: summariseHolds(rounded, null) }));
  // One after the other: no transaction holds hundreds of reports, and a full disk ends it early.
  await flush();
}

/** Keeps the night's reports as shots of the production that is looked at. What could not be kept stays where it was. */
export async function keepNightReports(): Promise<void> {
  const { reports, keeping } = nightReports.get();
  if (keeping) return;
  nightReports.set({ keeping: true, told: "" });
  const production = benchData.get().production ?? (await productionFor(false));
  const shots = (await listKept("shot")).map(({ value }) => value);
  const done = new Set<string>();
  let kept = 0;
  for (const { id: night, report } of reports) {
    await breathe();
    const there = shots.find((shot) => isReportOf(report, shot)) ?? null;
    if (there === null || there.fingerprint === null) {
      await keepOne(report, there?.id ?? reportShotId(report), production, there === null);
      if (storage.get().saving !== "saved" && storage.get().saving !== "saving") break;
      kept += 1;
    }
    done.add(night);
  }
  const known = done.size - kept;
  const other =
    known === 0
      ? ""
      : ` ${counted(known, "shot")} checked here ${known === 1 ? "keeps its" : "keep their"} own report.`;
  nightReports.set({
    keeping: false,
    reports: nightReports.get().reports.filter(({ id }) => !done.has(id)),
    told: `${counted(kept, "report")} kept as ${kept === 1 ? "a shot" : "shots"}.${other}`,
  });
}
