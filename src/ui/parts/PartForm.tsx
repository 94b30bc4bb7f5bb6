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
      <EditField
        numeric
        label="Mass"
        unit="g"
        field={at("massGrams")}
        value={shown(part.massGrams)}
        commit={(text) => change("massGrams", numberOr(text), `changed the mass of ${name}`)}
      />
      <EditField
        numeric
        label="Band"
        unit="px"
        field={at("bandPx")}
        value={shown(part.bandPx)}
        note="drift it is allowed"
        commit={(text) => change("bandPx", numberOr(text), `changed the band of ${name}`)}
      />
      <EditField
        numeric
        label="Scale"
        unit="px/mm"
        field={at("pxPerMm")}
        value={shown(part.pxPerMm)}
        note={sheet.scale ? `else the shot's ${sheet.scale.pxPerMm}` : "its own, where it has one"}
        commit={(text) => change("pxPerMm", numberOr(text), `changed the scale of ${name}`)}
      />
      <EditField
        numeric
        label="Tilt into the picture"
        unit="°"
        field={at("intoPictureDegrees")}
        value={part.intoPictureDegrees === 0 ? "" : String(part.intoPictureDegrees)}
        commit={(text) => change("intoPictureDegrees", numberOr(text) ?? 0, `changed the tilt of ${name}`)}
      />
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
