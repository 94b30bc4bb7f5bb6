import type { ComingShot, Puppet, Repair, Verdict } from "../../model/index.ts";
import { type Cell, writeCsv } from "../csv.ts";
import { counted, fixed } from "../words.ts";
import { type BenchShot, type SpeedUnit, speedUnits, speedWords } from "./holds.ts";
import { repairStories } from "./repairs.ts";
import { type BenchRow, benchRows, type Level, type Order, ranked, worstHold } from "./rows.ts";
import { seatingRows } from "./seating.ts";
import { benchPlan, planHeadline } from "./work-list.ts";
import { partWords, readable, shareWords, speedText, spreadWords, subjectWords } from "./words.ts";

// The bench's list as text, for whoever reads it without the page.

/** More rows than these help nobody in the morning. */
const MOST_ROWS = 20;

const orderWords = (order: Order): string =>
  order.by === "often" ? "how often it drifts" : `how fast it drifts, ${speedWords[order.by]}`;

/** The unit that the worst hold is told in: the list's, or the first that there is. */
const unitOf = (row: BenchRow, order: Order): SpeedUnit | null =>
  order.by === "often" ? (speedUnits.find((unit) => "mean" in row.speed[unit]) ?? null) : order.by;

const worstWords = (row: BenchRow, order: Order): string | null => {
  const unit = unitOf(row, order);
  const worst = unit === null ? null : worstHold(row, unit);
  if (unit === null || worst === null) return null;
  const { hold, shotName } = worst.one;
  const pose = hold.poseDegrees === null ? "" : `, ${fixed(hold.poseDegrees, 0)} degrees out from hanging`;
  return `worst in ${shotName}, frames ${hold.from} to ${hold.to}${pose}`;
};

const rowLines = (row: BenchRow, place: number, order: Order): string[] => {
  const speed = unitOf(row, order);
  const facts = [
    ...(speed === null ? [] : [speedText(row.speed[speed], speed)]),
    ...[worstWords(row, order)].filter((words) => words !== null),
  ];
  return [
    `${place + 1}. ${subjectWords(row, row.partName)}: drifts in ${shareWords(row.often.any)}, ${counted(row.shots, "shot")}`,
    ...(facts.length > 0 ? [`   ${facts.join("; ")}`] : []),
  ];
};

const title: Readonly<Record<Level, string>> = {
  puppet: "Puppets",
  copy: "Copies",
  part: "Parts",
  joint: "Joints",
  kind: "Kinds of parts",
};

/** What people logged and decided beside the reports. */
export interface BenchRecords {
  readonly repairs: readonly Repair[];
  readonly coming: readonly ComingShot[];
  readonly puppets: readonly Puppet[];
  /** Of these shots. */
  readonly verdicts: readonly Verdict[];
  /** Title of a fix of the workshop, by its id. */
  readonly titleOf: (fix: string) => string | null;
}

/** What came of repairs, what is to be mended, and whom to send. */
const recordLines = (shots: readonly BenchShot[], records: BenchRecords): string[] => {
  const stories = repairStories(shots, records.repairs, records.titleOf);
  const plan = benchPlan({ shots, ...records }, records.coming);
  return [
    "",
    "Repairs",
    ...(stories.length === 0 ? ["None is logged."] : []),
    ...stories.map(
      ({ repair, partName, sentence }) =>
        `* ${repair.done.replace("T", " ")}, ${partWords(partName, repair.puppet, repair.copy)}: ${sentence}`,
    ),
    "",
    "Work list",
    planHeadline(plan),
    ...plan.items.map(({ partName, puppet, copy, why, before }) => {
      const due = before === null ? "" : ` before ${before.name}${before.day === null ? "" : ` (${before.day})`}`;
      return `* ${partWords(partName, puppet, copy)}${due}: ${why.join("; ")}`;
    }),
    ...(plan.coming.length === 0 ? [] : ["", "Shots to come"]),
    ...plan.coming.map(({ shot, needs }) =>
      [
        `* ${shot.name}${shot.day === null ? "" : `, ${shot.day}`}`,
        ...(needs.length === 0 ? ["needs no puppet"] : needs.map(({ sentence }) => sentence)),
      ].join(": "),
    ),
  ];
};

/**
 * What drifts most over many shots, as plain lines, a list a level.
 *
 * @param records what an export of the page has beside the reports; null: nothing is known
 */
export const triageText = (
  shots: readonly BenchShot[],
  wanted: readonly Level[],
  order: Order,
  records: BenchRecords | null = null,
): string => {
  const held = shots.reduce((sum, { holds }) => sum + holds.length, 0);
  const lines = [
    `${counted(held, "hold")} in ${counted(shots.length, "shot")}, by ${orderWords(order)}: the lower end of the 95 % interval counts.`,
  ];
  for (const level of wanted) {
    const rows = ranked(benchRows(shots, level), order);
    lines.push("", title[level]);
    if (rows.length === 0) lines.push("There is none.");
    lines.push(...rows.slice(0, MOST_ROWS).flatMap((row, place) => rowLines(row, place, order)));
    if (rows.length > MOST_ROWS) lines.push(`   and ${rows.length - MOST_ROWS} more`);
  }
  const pieces = seatingRows(shots);
  if (pieces.length > 0) {
    lines.push("", "Swapped pieces, by how far they sit off from one wearing to the next (1 sigma an axis)");
    for (const { partName, puppet, copy, wears, px } of pieces.slice(0, MOST_ROWS))
      lines.push(`* ${readable(wears)} on ${partWords(partName, puppet, copy)}: ${spreadWords(px, "px")}`);
  }
  if (records !== null) lines.push(...recordLines(shots, records));
  return `${lines.join("\n")}\n`;
};

const header = [
  "level",
  "rank",
  "puppet",
  "copy",
  "part_id",
  "part",
  "joint",
  "kind",
  "shots",
  "holds",
  "holds_flagged",
  "share_low_95",
  "share_high_95",
  "holds_sagged",
  "holds_crawled",
  "holds_shifted",
  ...speedUnits.flatMap((unit) => {
    const name = unit === "degrees" ? "deg" : unit;
    return [
      `speed_${name}_per_hour`,
      `low_95_${name}_per_hour`,
      `high_95_${name}_per_hour`,
      `holds_with_speed_${name}`,
    ];
  }),
];

const csvRow = (row: BenchRow, place: number): Cell[] => [
  row.level,
  place + 1,
  row.puppet,
  row.copy,
  row.part,
  row.partName,
  row.joint,
  row.kind,
  row.shots,
  row.often.any.of,
  row.often.any.count,
  row.often.any.low,
  row.often.any.high,
  row.often.sags.count,
  row.often.crawls.count,
  row.often.shifts.count,
  ...speedUnits.flatMap((unit): Cell[] => {
    const speed = row.speed[unit];
    if (!("mean" in speed)) return [null, null, null, 0];
    return [speed.mean.value, speed.mean.low, speed.mean.high, speed.mean.count];
  }),
];

/** The same with every row and every number, as CSV. */
export const triageCsv = (shots: readonly BenchShot[], wanted: readonly Level[], order: Order): string =>
  writeCsv(
    header,
    wanted.flatMap((level) => ranked(benchRows(shots, level), order).map(csvRow)),
  );
