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
import { isWaiting, keep, onTaken, sawRevision } from "../state/keeping.ts";
import { addNotice } from "../state/session.ts";
import { opened, readKept, storage } from "../state/storage.ts";
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

type Kept = Pick<WorkshopState, "own" | "units" | "fields">;

/** @throws where the workshop's own file is refused, with the first reason */
function readKeptState(own: string | undefined, fields: Readonly<Record<string, unknown>>, units: unknown): Kept {
  const read = own === undefined ? { workshop: emptyWorkshop } : parseWorkshop(own, "kept workshop", builtIn);
  if ("refusals" in read) throw new Error(read.refusals[0]);
  return {
    own: read.workshop,
    units: units === "imperial" ? "imperial" : "metric",
    fields: Object.fromEntries(
      Object.entries(fields).filter((entry): entry is [string, string] => typeof entry[1] === "string"),
    ),
  };
}

export const workshop = createStore<WorkshopState>(first);

const ID = "own";

/** What earlier versions kept in the browser's small storage; it moves into the store. */
function fromSmallStorage(): Kept | null {
  let text: string | null = null;
  try {
    text = localStorage.getItem(PLACE);
    if (text === null) return null;
    const value = JSON.parse(text) as { own?: string; fields?: Record<string, unknown>; units?: unknown };
    const kept = readKeptState(value.own, value.fields ?? {}, value.units);
    localStorage.removeItem(PLACE);
    return kept;
  } catch (error) {
    if (text !== null) {
      try {
        localStorage.setItem(`${PLACE}.unread`, text);
        localStorage.removeItem(PLACE);
      } catch {
        // Storage is closed or full: the notice below stands for it.
      }
      addNotice("What the workshop had kept can't be read", [
        `${error instanceof Error ? error.message : String(error)}. It is kept aside as ${PLACE}.unread.`,
      ]);
    }
    return null;
  }
}

/** The workshop of the store, with what was typed here before it came. */
async function takeKept(): Promise<void> {
  const kept = await readKept("workshop", ID);
  if (kept === null) return;
  if (isWaiting("workshop", ID)) return;
  sawRevision("workshop", ID, kept.revision);
  const { own, fields, units } = kept.value;
  try {
    last = { ...workshop.get(), ...readKeptState(own, fields, units) };
    workshop.set(last);
  } catch (error) {
    addNotice("What the workshop had kept can't be read", [
      `${error instanceof Error ? error.message : String(error)}. It is left in the store until something is changed here.`,
    ]);
  }
}

/** What is in the store, or on its way there. */
let last: WorkshopState = first;

/** Keeps what was typed and recorded, as long as the page is open. */
export function keepWorkshop(): void {
  workshop.listen(() => {
    const now = workshop.get();
    if (now.own === last.own && now.fields === last.fields && now.units === last.units) return;
    last = now;
    const { own, fields, units } = now;
    const record = { id: ID, own: serialiseWorkshop(own), fields, units, changed: new Date().toISOString() };
    keep("workshop", record, "the workshop");
    if (storage.get().phase === "closed") {
      addNotice("The workshop can't be kept", [
        "This browser keeps nothing for this page. Save the workshop file before you leave.",
      ]);
    }
  });
  void opened.then(async (store) => {
    await takeKept();
    const old = fromSmallStorage();
    // What the store has is later than what an earlier version left.
    if (old !== null && last === first) workshop.set(old);
    store?.listen((touched, own) => {
      if (!own && touched.some(({ kind }) => kind === "workshop")) void takeKept();
    });
  });
  onTaken((kind) => {
    if (kind === "workshop") void takeKept();
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
