import { Button } from "react-aria-components";
import { changePart, removePart } from "../../model/edit/index.ts";
import { builds, carrierChain, type Part, partKinds, type Sheet } from "../../model/index.ts";
import { typedNumber } from "../../workshop/quantities.ts";
import { edit } from "../state/sheet-editing.ts";
import { view } from "../state/view.ts";
import { EditChoice, EditField, Refusal } from "./EditField.tsx";
import { buildWords, kindWords } from "./words.ts";

type Fields = Parameters<typeof changePart>[2];

const orNothing = (text: string): string | null => (text.trim() === "" ? null : text.trim());

/** A number where there is one; else what was typed, so that the refusal can quote it. */
const numberOr = (text: string): unknown => {
  if (text.trim() === "") return null;
  const number = typedNumber(text);
  return Number.isNaN(number) ? text.trim() : number;
};
const shown = (value: number | null): string => (value === null ? "" : String(value));

interface NumberField {
  readonly field: keyof Fields;
  readonly label: string;
  readonly unit: string;
  readonly value: string;
  readonly note?: string;
  /** What an empty field says. */
  readonly empty: number | null;
}

const numbersOf = (part: Part, sheet: Sheet): readonly NumberField[] => [
  { field: "massGrams", label: "Mass", unit: "g", value: shown(part.massGrams), empty: null },
  { field: "bandPx", label: "Band", unit: "px", value: shown(part.bandPx), note: "drift it is allowed", empty: null },
  {
    field: "pxPerMm",
    label: "Scale",
    unit: "px/mm",
    value: shown(part.pxPerMm),
    note: sheet.scale ? `else the shot's ${sheet.scale.pxPerMm}` : "its own, where it has one",
    empty: null,
  },
  {
    field: "intoPictureDegrees",
    label: "Tilt into the picture",
    unit: "°",
    value: shown(part.intoPictureDegrees || null),
    empty: 0,
  },
];

/** What a part is: name, kind, whose it is, what it rides on, how it is built. */
export function PartForm({ part, sheet }: { readonly part: Part; readonly sheet: Sheet }) {
  const { id, name } = part;
  const at = (field: string) => `${id}.${field}`;
  const change = (field: keyof Fields, value: unknown, words: string) =>
    edit(words, (now, context) => changePart(now, id, { [field]: value }, context), at(field));
  const carriers = sheet.parts.filter((each) => !carrierChain(sheet, each.id).some((link) => link.id === id));
  const puppets = [...new Set(sheet.parts.flatMap(({ puppet }) => puppet ?? []))];
  const kinds = part.kind === "found" ? (["found", ...partKinds] as const) : partKinds;
  return (
    <div className="part-form" key={id}>
      <EditField
        wide
        label="Name"
        field={at("name")}
        value={name}
        focusKey="part-name"
        commit={(text) => change("name", text.trim(), `named ${text.trim()}`)}
      />
      <EditChoice
        label="Kind"
        field={at("kind")}
        value={part.kind}
        options={kinds.map((each) => [each, kindWords[each]])}
        commit={(value) => change("kind", value, `made ${name} a ${value}`)}
      />
      <EditChoice
        label="Rides on"
        field={at("carrier")}
        value={part.carrier ?? ""}
        options={[["", "nothing"], ...carriers.map((each) => [each.id, each.name] as const)]}
        commit={(value) => change("carrier", orNothing(value), `changed what ${name} rides on`)}
      />
      <EditField
        label="Puppet"
        field={at("puppet")}
        value={part.puppet ?? ""}
        suggestions={puppets}
        commit={(text) => change("puppet", orNothing(text), `changed the puppet of ${name}`)}
      />
      <EditField
        label="Copy"
        field={at("copy")}
        value={part.copy ?? ""}
        commit={(text) => change("copy", orNothing(text), `changed the copy of ${name}`)}
      />
      <EditChoice
        label="Built with"
        field={at("build")}
        value={part.build ?? ""}
        options={[["", "not told"], ...builds.map((each) => [each, buildWords[each]] as const)]}
        commit={(value) => change("build", orNothing(value), `changed the build of ${name}`)}
      />
      {numbersOf(part, sheet).map(({ field, label, unit, value, note, empty }) => (
        <EditField
          key={field}
          numeric
          label={label}
          unit={unit}
          field={at(field)}
          value={value}
          {...(note === undefined ? {} : { note })}
          commit={(text) =>
            change(field, numberOr(text) ?? empty, `changed the ${label.split(" ")[0].toLowerCase()} of ${name}`)
          }
        />
      ))}
      <div className="part-remove">
        <Button
          className="button small"
          onPress={() => {
            if (edit(`removed ${name}`, (now, context) => removePart(now, id, context), at("remove")))
              view.set({ strip: null, flag: null });
          }}
        >
          Remove this part
        </Button>
        <Refusal field={at("remove")} />
      </div>
    </div>
  );
}
