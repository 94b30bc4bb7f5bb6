import { frameNumber, px, radians } from "../../src/units/index.ts";
import type {
  ComingShot,
  Flag,
  JudgedFlag,
  Note,
  Production,
  Puppet,
  Repair,
  Report,
  ShotRecord,
  Verdict,
} from "../../src/model/index.ts";
import type { Random } from "./random.ts";
import { flagOf, partOf, reportOf, rowOf } from "./ui-report.ts";

// Records as people make them, for the tests of what keeps them.

const MOMENT = "2026-03-02T18:00:00Z";

export const productionOf = (more: Partial<Production> = {}): Production => ({
  id: "honey",
  name: "Honey",
  made: MOMENT,
  changed: MOMENT,
  ...more,
});

export const shotOf = (more: Partial<ShotRecord> = {}): ShotRecord => ({
  id: "hive-010",
  production: "honey",
  name: "hive_010",
  take: 1,
  folder: "hive_010",
  sequence: "hive_010",
  fps: 24,
  width: 400,
  height: 300,
  firstFrame: frameNumber(1),
  lastFrame: frameNumber(8),
  frameCount: 8,
  shootingDay: "2026-03-02",
  fingerprint: "aa",
  report: "hive-010",
  made: MOMENT,
  changed: MOMENT,
  ...more,
});

export const judgedOf = (flag: Flag): JudgedFlag => ({
  id: flag.id,
  kind: flag.kind,
  part: flag.part,
  from: flag.from,
  to: flag.to,
  px: flag.px,
  sigma: flag.sigma,
  stops: flag.stops,
});

export const verdictOf = (more: Partial<Verdict> = {}): Verdict => ({
  id: "verdict-1",
  shot: "hive-010",
  flag: judgedOf(flagOf()),
  choice: "live-with-it",
  who: "MB",
  note: "",
  untilFrame: null,
  made: MOMENT,
  changed: MOMENT,
  ...more,
});

export const noteOf = (more: Partial<Note> = {}): Note => ({
  id: "note-1",
  shot: "hive-010",
  frame: frameNumber(3),
  part: null,
  text: "smoke drifts in",
  who: "MB",
  made: MOMENT,
  changed: MOMENT,
  ...more,
});

export const puppetOf = (more: Partial<Puppet> = {}): Puppet => ({
  id: "honey/oda",
  production: "honey",
  name: "oda",
  copies: ["A"],
  parts: [],
  made: MOMENT,
  changed: MOMENT,
  ...more,
});

export const repairOf = (more: Partial<Repair> = {}): Repair => ({
  id: "repair-1",
  production: "honey",
  puppet: "oda",
  copy: null,
  part: "arm",
  joint: null,
  fix: null,
  what: "new elbow ball",
  who: "MB",
  done: "2026-03-03T08:30",
  made: MOMENT,
  changed: MOMENT,
  ...more,
});

export const comingOf = (more: Partial<ComingShot> = {}): ComingShot => ({
  id: "coming-1",
  production: "honey",
  name: "hive_020",
  day: "2026-03-05",
  needs: [{ puppet: "oda", copy: null }],
  note: "",
  made: MOMENT,
  changed: MOMENT,
  ...more,
});

/** A report with numbers of every size, missing ones, reasons, and keys that no version knows. */
export function randomReport(random: Random, frames = 6, parts = 3): Report {
  const numbers = Array.from({ length: frames }, (_, i) => i + 1);
  const ids = Array.from({ length: parts }, (_, i) => `part-${i + 1}`);
  return reportOf(numbers, {
    parts: ids.map((id) => partOf(id)),
    tracks: ids.flatMap((id) =>
      numbers.slice(1).map((frame) =>
        random.next() < 0.2
          ? rowOf(id, frame, { dx: null, dy: null, turn: null, state: "weak", reason: `too dark in ${frame}` })
          : rowOf(id, frame, {
              dx: px(random.normal()),
              dy: px(random.normal() * 100),
              turn: radians(random.normal() * 1e-4),
              rho: random.next() * 2 - 1,
              crawlPx: random.next() < 0.5 ? null : px(random.next()),
              ...(random.next() < 0.1 ? { later: { a: [1, "b"] } } : {}),
            }),
      ),
    ),
    flags: [flagOf({ id: "sag-part-1-2", part: "part-1", px: px(random.next()) })],
  });
}
