import type { Family, SpeedUnit } from "../../reports/bench/holds.ts";
import type { Level, Order } from "../../reports/bench/rows.ts";
import { createStore } from "../state/store.ts";

export const tabs = [
  { id: "drifts", label: "What drifts" },
  { id: "repairs", label: "Repairs" },
  { id: "coming", label: "Shots to come" },
  { id: "work", label: "Work list" },
  { id: "faces", label: "Face kits" },
] as const;
export type Tab = (typeof tabs)[number]["id"];

interface BenchView {
  readonly tab: Tab;
  readonly level: Level;
  readonly by: "often" | SpeedUnit;
  readonly family: Family | "any";
  /** Key of the row that is looked at; null: the first. */
  readonly chosen: string | null;
}

/** What of the bench is looked at. */
export const bench = createStore<BenchView>({
  tab: "drifts",
  level: "part",
  by: "often",
  family: "any",
  chosen: null,
});

export const orderOf = ({ by, family }: Pick<BenchView, "by" | "family">): Order =>
  by === "often" ? { by, family } : { by };
