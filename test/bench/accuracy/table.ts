import { cameraName, type Line, nameOf } from "./reach.ts";
import type { PartCell, Rivalry } from "./part-cells.ts";
import type { CameraCell, DisturbedCell } from "./whole-checks.ts";

// How cells are printed. px to ten-thousandths: the floor is 0.0015.

const px = (value: number): string => (Number.isFinite(value) ? value.toFixed(4) : "-").padStart(8);
const percent = (value: number): string => (Number.isFinite(value) ? `${(100 * value).toFixed(1)} %` : "-").padStart(8);
const spread = (z: number, low: number, high: number): string =>
  `${z.toFixed(2)} (${low.toFixed(2)} to ${high.toFixed(2)})`.padStart(21);

const CELL = 44;
const rivalled = (told: Rivalry | undefined): string =>
  told === undefined
    ? ""
    : `${px(told.rmse)}${told.notMeasured > 0 ? ` (${percent(told.notMeasured).trim()} failed)` : ""}`;

export const partHeader = `${"part".padEnd(CELL)}${["RMSE", "bound", "ratio", "bias"].map((word) => word.padStart(8)).join("")}${"z (95 %)".padStart(21)}${["|z| > 3", "not meas."].map((word) => word.padStart(10)).join("")}   same frames: ours, ECC, points`;

export function partLine(cell: PartCell): string {
  const { figures: f, bound, axes, rivals } = cell;
  const name = `${nameOf(cell)}${axes === 1 ? " (1 axis)" : ""}`.padEnd(CELL);
  const ratio = (f.rmse / bound).toFixed(2).padStart(8);
  const shares = `${percent(f.beyond3).padStart(10)}${percent(f.notMeasured).padStart(10)}`;
  const beside = rivals === null ? "" : `   ${px(rivals.ours)}${rivalled(rivals.ecc)}${rivalled(rivals.points)}`;
  return `${name}${px(f.rmse)}${px(bound)}${ratio}${px(f.bias)}${spread(f.z, f.zLow, f.zHigh)}${shares}${beside}`;
}

export const disturbedHeader = `${"disturbed, whole check, JPEG 92".padEnd(CELL)}${["RMSE", "bound", "95 %", "<0.1 px", "possible", "not m."].map((word) => word.padStart(9)).join("")}${"z (95 %)".padStart(21)}   hidden: told, wrong   ECC: RMSE, worst, <0.1 px`;

export function disturbedLine(cell: DisturbedCell): string {
  const { disturbance, size, texture, noise, figures: f, bound, within: near, possible, hidden, ecc } = cell;
  const name = `${size} px ${texture}, noise ${noise}, ${disturbance}`.padEnd(CELL);
  const beside = ecc === null ? "" : `   ${px(ecc.rmse)}${px(ecc.worst)} ${percent(ecc.within)}`;
  const unseen = `   ${hidden.said} of ${hidden.frames}, ${hidden.wrong}`;
  return `${name} ${px(f.rmse)} ${px(bound)} ${px(f.p95)} ${percent(near)} ${percent(possible)} ${percent(f.notMeasured)}${spread(f.z, f.zLow, f.zHigh)}${unseen}${beside}`;
}

export const cameraHeader = `${"camera, whole check".padEnd(CELL)}${["RMSE", "bound", "ratio", "bias"].map((word) => word.padStart(8)).join("")}${"z (95 %)".padStart(21)}${"not meas.".padStart(10)}`;

export function cameraLine(cell: CameraCell): string {
  const { figures: f, bound } = cell;
  const ratio = (f.rmse / bound).toFixed(2).padStart(8);
  return `${cameraName(cell).padEnd(CELL)}${px(f.rmse)}${px(bound)}${ratio}${px(f.bias)}${spread(f.z, f.zLow, f.zHigh)}${percent(f.notMeasured).padStart(10)}`;
}

/** One line for each reach, and one for each cell that misses it. */
export function verdict(lines: readonly Line[]): string {
  const out: string[] = [];
  for (const what of new Set(lines.map((line) => line.what))) {
    const all = lines.filter((line) => line.what === what);
    const missed = all.filter((line) => !line.reached && line.impossible === null);
    const impossible = all.filter((line) => line.impossible !== null);
    out.push(
      `${missed.length === 0 ? "ok    " : "MISSED"} ${what}: ${all.length - missed.length - impossible.length} of ${all.length - impossible.length} cells${impossible.length === 0 ? "" : `, and ${impossible.length} that can't`}`,
    );
    for (const { cell, value, impossible: why } of impossible)
      out.push(`         ${cell}: ${value.toFixed(4)}, ${why}`);
    for (const { cell, value, limit } of missed)
      out.push(`         ${cell}: ${value.toFixed(4)}, limit ${limit.toFixed(4)}`);
  }
  return out.join("\n");
}

const row = (cells: readonly string[]): string => `| ${cells.join(" | ")} |`;
const rule = (columns: number): string => `|${"---|".repeat(columns)}`;
const within = (share: number): string => `${(100 * share).toFixed(1)} %`;

/** Rows texture and size, columns disturbance: share of visible frames within 0.1 px, RMSE and its bound px, z; and ECC's worst error, px. */
export function disturbedMarkdown(cells: readonly DisturbedCell[]): string {
  if (cells.length === 0) return "";
  const kinds = [...new Set(cells.map(({ disturbance }) => disturbance))];
  const names = [...new Set(cells.map(({ size, texture }) => `${texture} | ${size}`))];
  const told = ({ figures: f, within: near, bound, ecc }: DisturbedCell): string =>
    `${within(near)} · ${f.rmse.toFixed(4)} · ${bound.toFixed(4)} · ${f.z.toFixed(2)}${f.notMeasured > 0 ? ` · ${within(f.notMeasured)} not` : ""}${ecc === null ? "" : ` (ECC ${ecc.worst.toFixed(1)} px)`}`;
  const body = names.map((name) =>
    row([
      name,
      ...kinds.map((kind) => {
        const cell = cells.find((one) => `${one.texture} | ${one.size}` === name && one.disturbance === kind);
        return cell === undefined ? "" : told(cell);
      }),
    ]),
  );
  return [row(["texture", "px", ...kinds]), rule(2 + kinds.length), ...body].join("\n");
}

/** Columns noise, rows the frame's size, with and without JPEG: RMSE of the picture's shift along one axis px, ratio to the bound, z. */
export function cameraMarkdown(cells: readonly CameraCell[]): string {
  if (cells.length === 0) return "";
  const noises = [...new Set(cells.map(({ noise }) => noise))];
  const rowOf = ({ width, height, jpeg }: CameraCell): string => `${width} x ${height}${jpeg ? ", JPEG 92" : ""}`;
  const body = [...new Set(cells.map(rowOf))].map((name) =>
    row([
      name,
      ...noises.map((noise) => {
        const cell = cells.find((one) => rowOf(one) === name && one.noise === noise);
        if (cell === undefined) return "";
        const { figures: f, bound } = cell;
        return `${f.rmse.toFixed(4)} · ${(f.rmse / bound).toFixed(2)} · ${f.z.toFixed(2)}`;
      }),
    ]),
  );
  return [row(["camera", ...noises.map((noise) => `noise ${noise}`)]), rule(1 + noises.length), ...body].join("\n");
}

/** Rows texture and size, columns noise, with JPEG: RMSE px, ratio to the bound, z. */
export function markdown(cells: readonly PartCell[]): string {
  if (cells.length === 0) return "";
  const shown = cells.filter((cell) => cell.jpeg);
  const noises = [...new Set(shown.map((cell) => cell.noise))];
  const rows = new Map<string, PartCell[]>();
  for (const cell of shown) {
    const name = `${cell.texture} | ${cell.size}`;
    rows.set(name, [...(rows.get(name) ?? []), cell]);
  }
  const head = row(["texture", "px", ...noises.map((noise) => `noise ${noise}`)]);
  const told = ({ figures, bound }: PartCell): string =>
    Number.isFinite(figures.rmse)
      ? `${figures.rmse.toFixed(4)} · ${(figures.rmse / bound).toFixed(1)} · ${figures.z.toFixed(2)}${figures.notMeasured > 0 ? ` · ${(100 * figures.notMeasured).toFixed(0)} % not` : ""}`
      : "not measured";
  const body = [...rows].map(([name, found]) => row([name, ...found.map(told)]));
  return [head, rule(2 + noises.length), ...body].join("\n");
}
