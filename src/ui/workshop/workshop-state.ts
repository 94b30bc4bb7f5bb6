import { builds, type Build, everyPartKind, type FlagKind, flagKinds, type PartKind } from "../../model/index.ts";
import { builtIn } from "../../workshop/built-in.ts";
import type { UnitSystem } from "../../workshop/quantities.ts";
import {
  emptyWorkshop,
  type Outcome,
  parseWorkshop,
  serialiseWorkshop,
  type Workshop,
} from "../../workshop/workshop-file.ts";
import { addNotice } from "../state/session.ts";
import { createStore } from "../state/store.ts";

export const tabs = [
  { id: "causes", label: "Causes and fixes" },
  { id: "load", label: "Joint load" },
  { id: "lining", label: "Lining" },
  { id: "mix", label: "Silicone mix" },
  { id: "own", label: "Own knowledge" },
] as const;
export type Tab = (typeof tabs)[number]["id"];

interface WorkshopState {
  readonly tab: Tab;
  /** The finding that is asked about; null: what is chosen by hand. */
  readonly flag: string | null;
  readonly kind: FlagKind;
  readonly part: PartKind | null;
  readonly build: Build | null;
  readonly units: UnitSystem;
  /** The workshop's own causes, fixes, order and outcomes. */
  readonly own: Workshop;
  /** What was typed into the sums' fields, metric, by the field's name. */
  readonly fields: Readonly<Record<string, string>>;
}

const PLACE = "holdfast.workshop";

const first: WorkshopState = {
  tab: "causes",
  flag: null,
  kind: "sag",
  part: "limb",
  build: null,
  units: "metric",
  own: emptyWorkshop,
  fields: {},
};

/** What was kept from the last time. What doesn't read is said, and kept under another name. */
function kept(): WorkshopState {
  let text: string | null = null;
  try {
    text = localStorage.getItem(PLACE);
    if (text === null) return first;
    const value = JSON.parse(text) as { own?: string; fields?: Record<string, unknown>; units?: unknown };
    const read =
      value.own === undefined ? { workshop: emptyWorkshop } : parseWorkshop(value.own, "kept workshop", builtIn);
    if ("refusals" in read) throw new Error(read.refusals[0]);
    return {
      ...first,
      own: read.workshop,
      units: value.units === "imperial" ? "imperial" : "metric",
      fields: Object.fromEntries(
        Object.entries(value.fields ?? {}).filter((entry): entry is [string, string] => typeof entry[1] === "string"),
      ),
    };
  } catch (error) {
    if (text !== null) {
      try {
        localStorage.setItem(`${PLACE}.unread`, text);
      } catch {
        // Storage is closed or full: the notice below stands for it.
      }
      addNotice("What the workshop had kept can't be read", [
        `${error instanceof Error ? error.message : String(error)}. It is kept aside as ${PLACE}.unread.`,
      ]);
    }
    return first;
  }
}

export const workshop = createStore<WorkshopState>(kept());

/** Keeps what was typed and recorded, as long as the page is open. */
export function keepWorkshop(): void {
  let last = workshop.get();
  workshop.listen(() => {
    const now = workshop.get();
    if (now.own === last.own && now.fields === last.fields && now.units === last.units) return;
    last = now;
    try {
      localStorage.setItem(
        PLACE,
        JSON.stringify({ own: serialiseWorkshop(now.own), fields: now.fields, units: now.units }),
      );
    } catch {
      addNotice("The workshop can't be kept", [
        "This browser keeps nothing for this page. Save the workshop file before you leave.",
      ]);
    }
  });
}

export const setField = (name: string, text: string): void =>
  workshop.set({ fields: { ...workshop.get().fields, [name]: text } });

export const addOutcome = (outcome: Outcome): void => {
  const { own } = workshop.get();
  workshop.set({ own: { ...own, outcomes: [...own.outcomes, outcome] } });
};

/** Puts a cause one place up or down among those shown for a kind of flag. */
export function moveCause(kind: FlagKind, shown: readonly string[], id: string, by: 1 | -1): void {
  const { own } = workshop.get();
  const order = [...shown];
  const at = order.indexOf(id);
  const to = at + by;
  if (at === -1 || to < 0 || to >= order.length) return;
  [order[at], order[to]] = [order[to], order[at]];
  workshop.set({
    own: { ...own, order: [...own.order.filter((each) => each.kind !== kind), { kind, causes: order }] },
  });
}

export const asKind = (text: string): FlagKind => flagKinds.find((each) => each === text) ?? "sag";
export const asPart = (text: string): PartKind | null => everyPartKind.find((each) => each === text) ?? null;
export const asBuild = (text: string): Build | null => builds.find((each) => each === text) ?? null;
