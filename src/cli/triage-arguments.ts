import { speedUnits } from "../reports/bench/holds.ts";
import { type Level, levels, type Order } from "../reports/bench/rows.ts";
import type { ShotsArguments } from "./shots-arguments.ts";

export const triageFormats = ["txt", "csv"] as const;

/** What the list can be put in order by. */
export const orders = ["often", ...speedUnits] as const;

/** Levels that are listed unless others are asked for. */
export const usualLevels: readonly Level[] = ["puppet", "part", "joint"];

/** What `holdfast triage` was asked. */
export interface TriageArguments extends ShotsArguments {
  readonly format: (typeof triageFormats)[number];
  readonly levels: readonly Level[];
  readonly order: Order;
}

interface Given {
  readonly out?: string | undefined;
  readonly store?: string | undefined;
  readonly format?: string | undefined;
  readonly by?: string | undefined;
  readonly order?: string | undefined;
}

/** What was asked, or what is wrong with it. */
export const triageArguments = (
  reports: readonly string[],
  given: Given,
): TriageArguments | { readonly why: string } => {
  const said = given.format ?? (given.out !== undefined && /\.csv$/iu.test(given.out) ? "csv" : "txt");
  const format = triageFormats.find((one) => one === said);
  if (format === undefined)
    return { why: `--format is "${said}": of triage it needs one of ${triageFormats.join(", ")}` };
  const words = given.by?.split(",").map((word) => word.trim()) ?? [...usualLevels];
  const strange = words.find((word) => !levels.some((level) => level === word));
  if (strange !== undefined) return { why: `--by has "${strange}": it needs some of ${levels.join(", ")}` };
  const by = orders.find((one) => one === (given.order ?? "often"));
  if (by === undefined) return { why: `--order is "${given.order}": it needs one of ${orders.join(", ")}` };
  return {
    reports,
    store: given.store ?? null,
    out: given.out ?? null,
    format,
    levels: levels.filter((level) => words.includes(level)),
    order: by === "often" ? { by, family: "any" } : { by },
  };
};
