import { useState } from "react";
import { Button } from "react-aria-components";
import { flagKindLabels, flagKinds } from "../../model/index.ts";
import { titled } from "../../reports/words.ts";
import { builtIn } from "../../workshop/built-in.ts";
import { type Cause, causeSchema, type Fix, fixSchema } from "../../workshop/knowledge.ts";
import {
  emptyWorkshop,
  joined,
  merged,
  parseWorkshop,
  serialiseWorkshop,
  type Workshop,
} from "../../workshop/workshop-file.ts";
import { pickFile } from "../opening/pick.ts";
import { fileOf } from "../opening/picked.ts";
import { saveText } from "../opening/save.ts";
import { addNotice } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { Choice, Group, WordsField } from "./fields.tsx";
import { asKind, workshop } from "./workshop-state.ts";

const NEW = "";
const linesOf = (text: string) =>
  text
    .split("\n")
    .map((line) => line.trim().replace(/\.$/u, ""))
    .filter((line) => line !== "");
const idOf = (title: string) =>
  title
    .toLowerCase()
    .replace(/[^a-z0-9]+/gu, "-")
    .replace(/^-|-$/gu, "");

async function openWorkshop(): Promise<void> {
  const picked = await pickFile();
  const [first] = picked?.files ?? [];
  if (first === undefined) return;
  const read = parseWorkshop(await (await fileOf(first)).text(), first.name, builtIn);
  if ("refusals" in read) addNotice(`${first.name} is refused`, read.refusals);
  else workshop.set({ own: joined(workshop.get().own, read.workshop) });
}

const change = (more: Partial<Workshop>) => workshop.set({ own: { ...workshop.get().own, ...more } });

/** Puts a cause or a fix among the workshop's own, in the place of one of the same id. */
const put = <Item extends { readonly id: string }>(list: readonly Item[], item: Item): readonly Item[] => [
  ...list.filter(({ id }) => id !== item.id),
  item,
];

const blankCause = {
  title: "",
  kind: "sag",
  about: "",
  steps: "",
  confirms: "",
  fix: "lighten-or-support",
  stopgap: "",
  prevent: "",
};

const draftOf = (cause: Cause): typeof blankCause => ({
  title: cause.title,
  kind: cause.kinds[0],
  about: cause.about,
  steps: cause.bench.steps.join("\n"),
  confirms: cause.bench.confirms,
  fix: cause.fixes[0],
  stopgap: cause.stopgap,
  prevent: cause.prevent,
});

/** A cause to add, or one to change. */
function CauseForm() {
  const own = useStore(workshop, (value) => value.own);
  const known = merged(builtIn, own);
  const [id, setId] = useState(NEW);
  const [draft, setDraft] = useState(blankCause);
  const [fault, setFault] = useState("");
  const edit = (more: Partial<typeof blankCause>) => setDraft({ ...draft, ...more });
  const choose = (chosen: string) => {
    const cause = known.causes.find((each) => each.id === chosen);
    setId(chosen);
    setFault("");
    setDraft(cause === undefined ? blankCause : draftOf(cause));
  };
  const save = () => {
    const before = known.causes.find((each) => each.id === id);
    const read = causeSchema.safeParse({
      ...(before ?? { id: idOf(draft.title), kinds: [asKind(draft.kind)], parts: null, usual: 4 }),
      title: draft.title.trim().replace(/\.$/u, ""),
      about: draft.about,
      bench: { steps: linesOf(draft.steps), confirms: draft.confirms },
      fixes: [draft.fix, ...(before?.fixes ?? []).filter((each) => each !== draft.fix)],
      stopgap: draft.stopgap,
      prevent: draft.prevent,
    });
    if (!read.success) {
      const empty = read.error.issues.map(({ path }) => String(path.at(-1)));
      setFault(`Please fill in everything: ${[...new Set(empty)].join(", ")}.`);
      return;
    }
    change({ causes: put(workshop.get().own.causes, read.data) });
    choose(read.data.id);
  };
  return (
    <Group title="A cause">
      <Choice
        label="Add or change"
        value={id}
        options={[[NEW, "A new cause"], ...known.causes.map((cause) => [cause.id, cause.title] as const)]}
        onChange={choose}
      />
      <WordsField label="Title" value={draft.title} onChange={(title) => edit({ title })} />
      {id === NEW && (
        <Choice
          label="Of"
          value={draft.kind}
          options={flagKinds.map((kind) => [kind, flagKindLabels[kind]])}
          onChange={(kind) => edit({ kind })}
        />
      )}
      <WordsField label="What happens" value={draft.about} lines={2} onChange={(about) => edit({ about })} />
      <WordsField
        label="Bench test, a step a line"
        value={draft.steps}
        lines={3}
        onChange={(steps) => edit({ steps })}
      />
      <WordsField label="It is this if" value={draft.confirms} onChange={(confirms) => edit({ confirms })} />
      <Choice
        label="Usual fix"
        value={draft.fix}
        options={known.fixes.map((fix) => [fix.id, fix.title])}
        onChange={(fix) => edit({ fix })}
      />
      <WordsField
        label="For the set, until then"
        value={draft.stopgap}
        lines={2}
        onChange={(stopgap) => edit({ stopgap })}
      />
      <WordsField
        label="So that it stays away"
        value={draft.prevent}
        lines={2}
        onChange={(prevent) => edit({ prevent })}
      />
      {fault !== "" && (
        <p className="field-fault" role="alert">
          {fault}
        </p>
      )}
      <div className="button-row">
        <Button className="button" onPress={save}>
          {id === NEW ? "Add the cause" : "Keep the change"}
        </Button>
        {id !== NEW && (
          <Button
            className="button"
            onPress={() => {
              const { own: now } = workshop.get();
              change({
                causes: now.causes.filter((cause) => cause.id !== id),
                hidden: builtIn.causes.some((cause) => cause.id === id)
                  ? [...new Set([...now.hidden, id])]
                  : now.hidden,
              });
              choose(NEW);
            }}
          >
            Hide it
          </Button>
        )}
      </div>
    </Group>
  );
}

const blankFix = { title: "", steps: "", material: "", tools: "", least: "15", most: "60", performance: "" };
const fixDraftOf = (fix: Fix): typeof blankFix => ({
  title: fix.title,
  steps: fix.steps.join("\n"),
  material: fix.material.join(", "),
  tools: fix.tools.join(", "),
  least: String(fix.minutes[0]),
  most: String(fix.minutes[1]),
  performance: fix.performance,
});
const listOf = (text: string) =>
  text
    .split(",")
    .map((each) => each.trim())
    .filter((each) => each !== "");

/** A fix to add, or one to change. */
function FixForm() {
  const own = useStore(workshop, (value) => value.own);
  const known = merged(builtIn, own);
  const [id, setId] = useState(NEW);
  const [draft, setDraft] = useState(blankFix);
  const [fault, setFault] = useState("");
  const edit = (more: Partial<typeof blankFix>) => setDraft({ ...draft, ...more });
  const choose = (chosen: string) => {
    const fix = known.fixes.find((each) => each.id === chosen);
    setId(chosen);
    setFault("");
    setDraft(fix === undefined ? blankFix : fixDraftOf(fix));
  };
  const save = () => {
    const read = fixSchema.safeParse({
      ...(known.fixes.find((each) => each.id === id) ?? { id: idOf(draft.title) }),
      title: draft.title.trim(),
      steps: linesOf(draft.steps),
      material: listOf(draft.material),
      tools: listOf(draft.tools),
      minutes: [Number(draft.least), Number(draft.most)],
      performance: draft.performance,
    });
    if (!read.success) {
      setFault(
        `Please fill in everything: ${[...new Set(read.error.issues.map(({ path }) => String(path[0])))].join(", ")}.`,
      );
      return;
    }
    change({ fixes: put(workshop.get().own.fixes, read.data) });
    choose(read.data.id);
  };
  return (
    <Group title="A fix">
      <Choice
        label="Add or change"
        value={id}
        options={[[NEW, "A new fix"], ...known.fixes.map((fix) => [fix.id, fix.title] as const)]}
        onChange={choose}
      />
      <WordsField label="Title" value={draft.title} onChange={(title) => edit({ title })} />
      <WordsField label="Steps, one a line" value={draft.steps} lines={4} onChange={(steps) => edit({ steps })} />
      <WordsField label="Material, with commas" value={draft.material} onChange={(material) => edit({ material })} />
      <WordsField label="Tools, with commas" value={draft.tools} onChange={(tools) => edit({ tools })} />
      <WordsField label="Shortest, min" value={draft.least} onChange={(least) => edit({ least })} />
      <WordsField label="Longest, min" value={draft.most} onChange={(most) => edit({ most })} />
      <WordsField
        label="What it does to the performance"
        value={draft.performance}
        lines={2}
        onChange={(performance) => edit({ performance })}
      />
      {fault !== "" && (
        <p className="field-fault" role="alert">
          {fault}
        </p>
      )}
      <Button className="button" onPress={save}>
        {id === NEW ? "Add the fix" : "Keep the change"}
      </Button>
    </Group>
  );
}

/** What this workshop added, and how its fixes did; as a file. */
export function OwnPanel() {
  const own = useStore(workshop, (value) => value.own);
  const known = merged(builtIn, own);
  const fixName = (id: string) => known.fixes.find((fix) => fix.id === id)?.title ?? id;
  return (
    <div className="sum">
      <div className="sum-fields">
        <CauseForm />
        <FixForm />
      </div>
      <div className="sum-result">
        <h1>What this workshop knows</h1>
        <p>
          {own.causes.length} causes and {own.fixes.length} fixes of your own or changed, {own.hidden.length} hidden,{" "}
          {own.order.length} orders of your own, {own.outcomes.length} tries of fixes. Kept in this browser; save the
          file to keep it for good or to hand it on.
        </p>
        <div className="button-row">
          <Button
            className="button strong"
            onPress={() => saveText("workshop.holdfast-workshop.json", serialiseWorkshop(own))}
          >
            Save the workshop file
          </Button>
          <Button className="button" onPress={() => void openWorkshop()}>
            Open one and join it
          </Button>
          <Button
            className="button"
            isDisabled={own === emptyWorkshop}
            onPress={() => workshop.set({ own: { ...emptyWorkshop, outcomes: own.outcomes } })}
          >
            Back to what came with the tool
          </Button>
        </div>
        <h2>How fixes did</h2>
        {own.outcomes.length === 0 ? (
          <p>
            Nothing yet. On a fix's card, say whether the drift stopped afterwards: fixes that work here come first, and
            their causes with them. A fix counts with (times that it stopped + 1) out of (tries + 2), so that one lucky
            try doesn't carry it.
          </p>
        ) : (
          <ul className="ways">
            {own.outcomes.map((outcome, i) => (
              <li key={`${i}${outcome.date}`}>
                {outcome.date}: {fixName(outcome.fix)}, {flagKindLabels[outcome.kind]}
                {outcome.puppet !== null && ` of ${titled(outcome.puppet)}`}
                {outcome.shot !== null && ` in ${outcome.shot}`}: {outcome.stopped ? "it stopped" : "it did not stop"}.{" "}
                <Button
                  className="link"
                  aria-label={`Take back: ${outcome.date}, ${fixName(outcome.fix)}`}
                  onPress={() => change({ outcomes: workshop.get().own.outcomes.filter((each) => each !== outcome) })}
                >
                  Take back
                </Button>
              </li>
            ))}
          </ul>
        )}
        {own.hidden.length > 0 && (
          <>
            <h2>Hidden causes</h2>
            <ul className="ways">
              {own.hidden.map((id) => (
                <li key={id}>
                  {builtIn.causes.find((cause) => cause.id === id)?.title ?? id}{" "}
                  <Button
                    className="link"
                    aria-label={`Show again: ${id}`}
                    onPress={() => change({ hidden: workshop.get().own.hidden.filter((each) => each !== id) })}
                  >
                    Show again
                  </Button>
                </li>
              ))}
            </ul>
          </>
        )}
      </div>
    </div>
  );
}
