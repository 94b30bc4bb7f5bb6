import { cautions, cautionsDefer } from "../../workshop/cautions.ts";
import { cureNotes, type DataSheet, dataSheetFaults, hardnessNote } from "../../workshop/silicone/card.ts";
import {
  type Additive,
  type Amount,
  mixFaults,
  type MixInput,
  percentOfWords,
  type PercentOf,
} from "../../workshop/silicone/mix.ts";
import { weighingOf } from "../../workshop/silicone/weighing.ts";
import { shownIn, unitOf } from "../../workshop/quantities.ts";
import { useStore } from "../state/store.ts";
import { FieldChoice, Faults, Group, NumberField, numberIn, useField, useWords, WordsField } from "./fields.tsx";
import { setField, workshop } from "./workshop-state.ts";

type Fields = Readonly<Record<string, string>>;

const extras = [
  { id: "pigment", name: "Pigment", percent: "3" },
  { id: "deadener", name: "Deadener", percent: "0" },
  { id: "thinner", name: "Thinner", percent: "0" },
] as const;
const sources = [
  ["mould", "what the mould holds"],
  ["base", "a weight of A + B"],
  ["A-left", "what is left of A"],
] as const;

/** A field that may be left empty. */
const perhaps = (fields: Fields, name: string): number | null =>
  (fields[name] ?? "").trim() === "" ? null : numberIn(fields, name, "");

function amountOf(fields: Fields): Amount {
  switch (fields["mix.from"] ?? "mould") {
    case "base":
      return { from: "base", grams: numberIn(fields, "mix.base", "200") };
    case "A-left":
      return { from: "A-left", grams: numberIn(fields, "mix.left", "100") };
    default:
      return {
        from: "mould",
        cm3: numberIn(fields, "mix.volume", "120"),
        densityGramsPerCm3: numberIn(fields, "mix.density", "1.08"),
        wastePercent: numberIn(fields, "mix.waste", "15"),
      };
  }
}

const inputOf = (fields: Fields): MixInput => ({
  partsA: numberIn(fields, "mix.partsA", "1"),
  partsB: numberIn(fields, "mix.partsB", "1"),
  amount: amountOf(fields),
  stepGrams: numberIn(fields, "mix.step", "0.1"),
  additives: extras
    .map(
      ({ id, name, percent }): Additive => ({
        id,
        kind: id,
        name,
        percent: numberIn(fields, `mix.${id}.percent`, percent),
        of: (fields[`mix.${id}.of`] ?? "A+B") as PercentOf,
        mostPercent: perhaps(fields, `mix.${id}.most`),
      }),
    )
    .filter(({ percent }) => percent !== 0),
});

const dataSheetOf = (fields: Fields): DataSheet => ({
  product: fields["mix.product"] ?? "",
  potLifeMinutes: perhaps(fields, "mix.potLife"),
  cureHours: perhaps(fields, "mix.cureHours"),
  atCelsius: perhaps(fields, "mix.celsius"),
  hardness: fields["mix.hardness"] ?? "",
  cure: fields["mix.cure"] === "tin" ? "tin" : "platinum",
});

function TextOf({ name, label }: { readonly name: string; readonly label: string }) {
  const value = useField(name, "");
  return <WordsField label={label} value={value} onChange={(typed) => setField(name, typed)} />;
}

/** The card that hangs beside the balance. */
function MixCard({ input, sheet }: { readonly input: MixInput; readonly sheet: DataSheet }) {
  const words = useWords();
  const units = useStore(workshop, (value) => value.units);
  const { pours, wholeGrams, ratio, percents, notes } = weighingOf(input);
  const decimals = units === "metric" ? Math.max(0, Math.ceil(-Math.log10(input.stepGrams) - 1e-9)) : 3;
  const weight = (grams: number) => `${shownIn(grams, "mass", units).toFixed(decimals)} ${unitOf("mass", units)}`;
  // One place finer than the balance shows, so that the rounding can be seen.
  const exact = (grams: number) => `${shownIn(grams, "mass", units).toFixed(decimals + 1)} ${unitOf("mass", units)}`;
  const nameOf = (id: string) => input.additives.find((each) => each.id === id)?.name ?? id;
  return (
    <div className="sum-result printed">
      <h1 aria-live="polite">
        {sheet.product === "" ? `${weight(wholeGrams)} of mix` : `${sheet.product}: ${weight(wholeGrams)}`}
      </h1>
      <p>
        {input.partsA} to {input.partsB} by weight; as weighed {ratio.weighed.toPrecision(4)} to 1, right within{" "}
        {ratio.errorPercent.toPrecision(2)} % on this balance.
      </p>
      <table className="weights">
        <thead>
          <tr>
            <th scope="col">Pour</th>
            <th scope="col">Weigh</th>
            <th scope="col">Exactly</th>
            <th scope="col">May be off by</th>
            <th scope="col">Is</th>
          </tr>
        </thead>
        <tbody>
          {pours.map(({ id, grams, exactGrams, error }) => {
            const additive = input.additives.find((each) => each.id === id);
            const percent = percents.find((each) => each.id === id)?.percent;
            return (
              <tr key={id}>
                <th scope="row">{nameOf(id)}</th>
                <td className="weigh">{weight(grams)}</td>
                <td>{exact(exactGrams)}</td>
                <td>{(100 * error).toPrecision(2)} %</td>
                <td>
                  {additive === undefined || percent === undefined
                    ? ""
                    : `${percent.toFixed(2)} % ${percentOfWords[additive.of]}`}
                </td>
              </tr>
            );
          })}
          <tr>
            <th scope="row">Whole</th>
            <td className="weigh">{weight(wholeGrams)}</td>
            <td>{exact(pours.reduce((sum, { exactGrams }) => sum + exactGrams, 0))}</td>
            <td>to half a step each</td>
            <td>100 %</td>
          </tr>
        </tbody>
      </table>
      {notes.length > 0 && (
        <ul className="ways">
          {notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      )}
      <dl className="facts mix-facts">
        <div>
          <dt>Pot life</dt>
          <dd>{sheet.potLifeMinutes === null ? "see the data sheet" : `${sheet.potLifeMinutes} min`}</dd>
        </div>
        <div>
          <dt>Cure</dt>
          <dd>{sheet.cureHours === null ? "see the data sheet" : `${sheet.cureHours} h`}</dd>
        </div>
        <div>
          <dt>At</dt>
          <dd>{sheet.atCelsius === null ? "see the data sheet" : words(sheet.atCelsius, "temperature")}</dd>
        </div>
        <div>
          <dt>Hardness</dt>
          <dd>
            {sheet.hardness === "" ? "only as a data sheet gives it" : `${sheet.hardness} (typed from the data sheet)`}
          </dd>
        </div>
      </dl>
      <p>{hardnessNote}</p>
      <section className="cautions">
        <h2>Mind</h2>
        <ul>
          {cureNotes(sheet).map((note) => (
            <li key={note}>{note}</li>
          ))}
          <li>{cautions.silicone}</li>
          <li>{cautions.solvent}</li>
        </ul>
        <p>{cautionsDefer}</p>
      </section>
    </div>
  );
}

/** Weights of a two-part silicone. */
export function MixPanel() {
  const fields = useStore(workshop, (value) => value.fields);
  const input = inputOf(fields);
  const sheet = dataSheetOf(fields);
  const faults = [...mixFaults(input), ...dataSheetFaults(sheet)];
  const from = fields["mix.from"] ?? "mould";
  return (
    <Faults.Provider value={faults}>
      <div className="sum">
        <div className="sum-fields">
          <Group title="Ratio by weight">
            <NumberField name="mix.partsA" label="A" quantity="parts" initial="1" fault="partsA" />
            <NumberField name="mix.partsB" label="B" quantity="parts" initial="1" fault="partsB" />
          </Group>
          <Group title="How much">
            <FieldChoice name="mix.from" label="From" initial="mould" options={sources} />
            {from === "mould" && (
              <>
                <NumberField
                  name="mix.volume"
                  label="Volume of the mould"
                  quantity="volume"
                  initial="120"
                  fault="volume"
                />
                <NumberField
                  name="mix.density"
                  label="Density of the mix"
                  quantity="density"
                  initial="1.08"
                  fault="density"
                  note="From the data sheet"
                />
                <NumberField name="mix.waste" label="Waste on top" quantity="percent" initial="15" fault="waste" />
              </>
            )}
            {from === "base" && (
              <NumberField name="mix.base" label="A + B" quantity="mass" initial="200" fault="base" />
            )}
            {from === "A-left" && (
              <NumberField name="mix.left" label="Left of A" quantity="mass" initial="100" fault="left" />
            )}
            <NumberField name="mix.step" label="The balance's step" quantity="mass" initial="0.1" fault="step" />
          </Group>
          {extras.map(({ id, name, percent }) => (
            <Group key={id} title={name}>
              <NumberField
                name={`mix.${id}.percent`}
                label="Share"
                quantity="percent"
                initial={percent}
                fault={`additives.${id}.percent`}
              />
              <FieldChoice
                name={`mix.${id}.of`}
                label="Percent"
                initial="A+B"
                options={Object.entries(percentOfWords)}
              />
              <NumberField
                name={`mix.${id}.most`}
                label="Most by the data sheet"
                quantity="percent"
                initial=""
                fault={`additives.${id}.most`}
              />
            </Group>
          ))}
          <Group title="From the data sheet">
            <TextOf name="mix.product" label="Product" />
            <FieldChoice
              name="mix.cure"
              label="Cure"
              initial="platinum"
              options={[
                ["platinum", "platinum"],
                ["tin", "tin"],
              ]}
            />
            <NumberField name="mix.potLife" label="Pot life" quantity="minutes" initial="" fault="potLife" />
            <NumberField name="mix.cureHours" label="Cure time" quantity="hours" initial="" fault="cure" />
            <NumberField name="mix.celsius" label="At" quantity="temperature" initial="" fault="celsius" />
            <TextOf name="mix.hardness" label="Hardness of this mix" />
          </Group>
        </div>
        {faults.length > 0 ? (
          <div className="sum-result">
            <h1 aria-live="polite">This mix doesn't add up</h1>
            <ul className="reasons">
              {faults.map(({ field, sentence }) => (
                <li key={field}>{sentence}</li>
              ))}
            </ul>
          </div>
        ) : (
          <MixCard input={input} sheet={sheet} />
        )}
      </div>
    </Faults.Provider>
  );
}
