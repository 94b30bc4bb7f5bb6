import { verdictChoices } from "../../model/index.ts";
import type { DailiesFilter, VerdictState } from "../../reports/dailies/dailies.ts";
import type { Department } from "../../reports/dailies/department.ts";
import { createStore } from "../state/store.ts";

export const everyState: readonly VerdictState[] = ["open", ...verdictChoices];

/** "latest": the last day on which something was shot; "all": every day. */
type Day = "latest" | "all" | "unknown" | (string & {});

interface DailiesView {
  readonly day: Day;
  readonly wholeShot: boolean;
  /** What is left out. */
  readonly without: { readonly verdicts: ReadonlySet<VerdictState>; readonly departments: ReadonlySet<Department> };
}

/** What of the notes is looked at. */
export const dailiesView = createStore<DailiesView>({
  day: "latest",
  wholeShot: false,
  without: { verdicts: new Set(), departments: new Set() },
});

export const filterOf = (
  { wholeShot, without }: Pick<DailiesView, "wholeShot" | "without">,
  departments: readonly Department[],
): DailiesFilter => ({
  wholeShot,
  verdicts: without.verdicts.size === 0 ? null : new Set(everyState.filter((state) => !without.verdicts.has(state))),
  departments:
    without.departments.size === 0 ? null : new Set(departments.filter((each) => !without.departments.has(each))),
});

const toggled = <T>(set: ReadonlySet<T>, value: T): ReadonlySet<T> => {
  const next = new Set(set);
  if (!next.delete(value)) next.add(value);
  return next;
};

export function toggleVerdict(state: VerdictState): void {
  const { without } = dailiesView.get();
  dailiesView.set({ without: { ...without, verdicts: toggled(without.verdicts, state) } });
}

export function toggleDepartment(department: Department): void {
  const { without } = dailiesView.get();
  dailiesView.set({ without: { ...without, departments: toggled(without.departments, department) } });
}
