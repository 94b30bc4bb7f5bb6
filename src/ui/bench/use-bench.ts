import { useMemo } from "react";
import type { BenchShot } from "../../reports/bench/holds.ts";
import { type RepairStory, repairStories } from "../../reports/bench/repairs.ts";
import { type BenchPlan, benchPlan } from "../../reports/bench/work-list.ts";
import { builtIn } from "../../workshop/built-in.ts";
import { useStore } from "../state/store.ts";
import { benchData, benchShots } from "./bench-data.ts";
import { nightReports } from "./night-reports.ts";

const titles = new Map(builtIn.fixes.map(({ id, title }) => [id, title] as const));

/** The shots that the bench looks at. */
export function useShots(): readonly BenchShot[] {
  const data = useStore(benchData, (value) => value);
  const night = useStore(nightReports, (value) => value);
  const { records, holds, production } = data;
  // oxlint-disable-next-line react-hooks/exhaustive-deps
  return useMemo(() => benchShots(benchData.get(), night), [records, holds, production, night]);
}

/** Before and after each repair of the production. */
export function useStories(shots: readonly BenchShot[]): readonly RepairStory[] {
  const repairs = useStore(benchData, (value) => value.repairs);
  const production = useStore(benchData, (value) => value.production);
  return useMemo(() => {
    const own = repairs.filter((repair) => repair.production === production);
    return repairStories(shots, own, (fix) => titles.get(fix) ?? null);
  }, [shots, repairs, production]);
}

/** What to mend before which shot. */
export function usePlan(shots: readonly BenchShot[]): BenchPlan {
  const { repairs, coming, puppets, verdicts, production } = useStore(benchData, (value) => value);
  return useMemo(() => {
    const mine = <T extends { readonly production: string }>(all: readonly T[]) =>
      all.filter((each) => each.production === production);
    return benchPlan({ shots, repairs: mine(repairs), puppets: mine(puppets), verdicts }, mine(coming));
  }, [shots, repairs, coming, puppets, verdicts, production]);
}
