import type { ReachLine } from "./reach.ts";
import type { CleanTally, FaultRow, Share } from "./tally.ts";

const percent = (share: number): string =>
  Number.isFinite(share) ? `${(100 * share).toFixed(share > 0.995 || share === 0 ? 0 : 1)} %` : "-";
const shareWords = (share: Share): string =>
  share.of === 0
    ? "-"
    : `${percent(share.share)} (${percent(share.low)} to ${percent(share.high)}), ${share.count}/${share.of}`;
const pxWords = (px: number): string => (Number.isFinite(px) ? px.toFixed(3) : "-");

const tableOf = (header: readonly string[], rows: readonly (readonly string[])[]): string =>
  [header, header.map(() => "---"), ...rows].map((cells) => `| ${cells.join(" | ")} |`).join("\n");

/** Markdown: recall with its 95 % interval, and what was said of what was found. */
export const faultTable = (first: string, rows: readonly FaultRow[]): string =>
  tableOf(
    [
      first,
      "found (95 %)",
      "of what anybody can see",
      "kind right",
      "part right",
      "onset within 3",
      "median error, px",
      "frames not measured",
    ],
    rows.map((row) => [
      row.name,
      row.judged ? shareWords(row.recall) : "not there yet",
      `${percent(row.visible.share)}, ${row.visible.count}/${row.visible.of}`,
      percent(row.kind.share),
      percent(row.part.share),
      percent(row.onset.share),
      pxWords(row.pxError),
      percent(row.notMeasured),
    ]),
  );

const perThousand = (count: number, holds: number): string => `${((1000 * count) / holds).toFixed(2)} (${count})`;

/** Markdown: false flags in 1,000 part-holds. */
export const cleanTable = (rows: readonly CleanTally[]): string =>
  tableOf(
    ["disturbed by", "part-holds", "false flags in 1,000, bands opened", "usual bands"],
    rows.map(({ name, holds, open, usual }) => [
      name,
      String(holds),
      perThousand(open, holds),
      perThousand(usual, holds),
    ]),
  );

const number = (value: number): string => (Math.abs(value) < 0.01 ? value.toFixed(5) : value.toFixed(3));

/** A sentence for each line that was not reached, with the shots to run again. */
export const reachWords = (lines: readonly ReachLine[]): string =>
  lines
    .map(({ what, value, limit, atMost, reached, seeds }) =>
      reached
        ? `reached: ${what} is ${number(value)}, ${atMost ? "at most" : "at least"} ${limit}.`
        : `NOT REACHED: ${what} is ${number(value)}, asked for is ${atMost ? "at most" : "at least"} ${limit}. Look at: ${seeds
            .slice(0, 20)
            .map((seed) => `--only ${seed}`)
            .join(", ")}${seeds.length > 20 ? " and more" : ""}.`,
    )
    .join("\n");
