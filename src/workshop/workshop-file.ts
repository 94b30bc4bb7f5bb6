import { parseJson, writeJson } from "../model/json.ts";
import { everyPartKind, flagKinds } from "../model/kinds.ts";
import { formatFault, isObject, refusals, sentenceOf } from "../model/refusal.ts";
import { frame, name, orNull, text, type Trusted, z } from "../model/schema.ts";
import { causeSchema, fixSchema, type Knowledge } from "./knowledge.ts";

// What a workshop adds to the knowledge, and how its fixes did, as one file.

export const WORKSHOP_FORMAT = "holdfast-workshop";
/** The latest version of the format that is read; it is the one that is written. */
export const WORKSHOP_VERSION = 1;

const outcomeSchema = z.looseObject({
  fix: name,
  cause: orNull(name),
  kind: z.enum(flagKinds),
  part: orNull(z.enum(everyPartKind)),
  /** Did the drift stop afterwards? */
  stopped: z.boolean(),
  /** "YYYY-MM-DD" */
  date: z.iso.date(),
  puppet: orNull(name),
  shot: orNull(name),
  frame: orNull(frame),
  note: text.default(""),
});

const workshopSchema = z.looseObject({
  format: z.literal(WORKSHOP_FORMAT),
  version: z.literal(WORKSHOP_VERSION),
  /** Added, or in the place of one that has the same id. */
  causes: z.array(causeSchema).default([]),
  fixes: z.array(fixSchema).default([]),
  /** Ids of causes that this workshop doesn't want to see. */
  hidden: z.array(name).default([]),
  /** Own order of causes for a kind of flag. */
  order: z.array(z.looseObject({ kind: z.enum(flagKinds), causes: z.array(name) })).default([]),
  outcomes: z.array(outcomeSchema).default([]),
});

/** One try of a fix. */
export type Outcome = Trusted<z.output<typeof outcomeSchema>>;
/** A workshop's own causes, fixes, order and outcomes. */
export type Workshop = Trusted<z.output<typeof workshopSchema>>;

export const emptyWorkshop: Workshop = {
  format: WORKSHOP_FORMAT,
  version: WORKSHOP_VERSION,
  causes: [],
  fixes: [],
  hidden: [],
  order: [],
  outcomes: [],
};

export type WorkshopResult = { readonly workshop: Workshop } | { readonly refusals: readonly string[] };

const twice = (ids: readonly string[]): readonly string[] => [...new Set(ids.filter((id, i) => ids.indexOf(id) !== i))];

/** What the ids of a file name must be in it or in what comes with the tool. */
function referenceFaults(workshop: Workshop, known: Knowledge): string[] {
  const { causes, fixes } = merged(known, workshop);
  const [causeIds, fixIds] = [causes, fixes].map((list) => new Set<string>(list.map(({ id }) => id)));
  for (const { id } of known.causes) causeIds.add(id);
  const faults: string[] = [];
  for (const id of twice(workshop.causes.map((cause) => cause.id))) faults.push(`two causes have the id '${id}'`);
  for (const id of twice(workshop.fixes.map((fix) => fix.id))) faults.push(`two fixes have the id '${id}'`);
  for (const cause of workshop.causes) {
    for (const id of cause.fixes)
      if (!fixIds.has(id)) faults.push(`cause '${cause.id}' names the fix '${id}', which there isn't`);
  }
  for (const id of workshop.hidden)
    if (!causeIds.has(id)) faults.push(`hidden names the cause '${id}', which there isn't`);
  for (const { kind, causes: ids } of workshop.order) {
    for (const id of ids)
      if (!causeIds.has(id)) faults.push(`the order for ${kind} names the cause '${id}', which there isn't`);
  }
  return faults;
}

/** The workshop in a file's text, or every reason why it is refused, each naming the file. Never throws. */
export function parseWorkshop(json: string, file: string, known: Knowledge): WorkshopResult {
  const read = parseJson(json);
  if ("fault" in read) return refusals(file, [read.fault]);
  const fault = formatFault(read.value, WORKSHOP_FORMAT, WORKSHOP_VERSION);
  if (fault !== null || !isObject(read.value)) return refusals(file, [fault ?? ""]);
  const parsed = workshopSchema.safeParse(read.value);
  const reasons = parsed.success
    ? referenceFaults(parsed.data, known)
    : parsed.error.issues.map((issue) => sentenceOf(issue, read.value, "the workshop file"));
  return parsed.success && reasons.length === 0 ? { workshop: parsed.data } : refusals(file, reasons);
}

const WIDTH = 120;
const DEPTH = 6;

export const serialiseWorkshop = (workshop: Workshop): string => writeJson(workshop, WIDTH, DEPTH);

const replaced = <Item extends { readonly id: string }>(
  list: readonly Item[],
  own: readonly Item[],
): readonly Item[] => [
  ...list.map((item) => own.find(({ id }) => id === item.id) ?? item),
  ...own.filter(({ id }) => list.every((item) => item.id !== id)),
];

/** What comes with the tool with a workshop's own in it: same id replaces, new ids come after, hidden causes are out. */
export const merged = (known: Knowledge, workshop: Workshop): Knowledge => ({
  causes: replaced(known.causes, workshop.causes).filter(({ id }) => !workshop.hidden.includes(id)),
  fixes: replaced(known.fixes, workshop.fixes),
  order: workshop.order,
});

/**
 * Two workshop files as one: the second one's causes, fixes and order replace the first one's of the same id or kind; a
 * cause that either hides is hidden; outcomes of both are kept, equal ones once.
 */
export function joined(first: Workshop, second: Workshop): Workshop {
  const outcomes = new Map(
    [...first.outcomes, ...second.outcomes].map((outcome) => [JSON.stringify(outcome), outcome]),
  );
  return {
    ...first,
    causes: replaced(first.causes, second.causes),
    fixes: replaced(first.fixes, second.fixes),
    hidden: [...new Set([...first.hidden, ...second.hidden])],
    order: [...first.order.filter(({ kind }) => second.order.every((other) => other.kind !== kind)), ...second.order],
    outcomes: [...outcomes.values()],
  };
}
