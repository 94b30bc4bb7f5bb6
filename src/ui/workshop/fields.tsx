import { createContext, type ReactNode, useContext, useState } from "react";
import { FieldError, Input, Label, Text, TextArea, TextField } from "react-aria-components";
import { figure } from "../../workshop/words.ts";
import type { Fault } from "../../workshop/faults.ts";
import { metricOf, type QuantityName, shownIn, typedNumber, unitOf } from "../../workshop/quantities.ts";
import { useStore } from "../state/store.ts";
import { setField, workshop } from "./workshop-state.ts";

/** Faults of the sum that a field belongs to; each stands at its own field. */
export const Faults = createContext<readonly Fault[]>([]);

/** A number with the digits that it has, at most six. */
const plain = (value: number): string => (Number.isFinite(value) ? String(Number(value.toPrecision(6))) : "");

/** The text of a field: what was typed, or what stands there to begin with. */
export const useField = (name: string, initial: string): string =>
  useStore(workshop, ({ fields }) => fields[name] ?? initial);

/** A field's number, metric; NaN where it is none. */
export const numberIn = (fields: Readonly<Record<string, string>>, name: string, initial: string): number =>
  typedNumber(fields[name] ?? initial);

/** A field for one number: its unit stands beside it, its fault under it. */
export function NumberField({
  name,
  label,
  quantity,
  initial,
  fault,
  note,
  hideLabel = false,
}: {
  /** Of the field in the store. */
  readonly name: string;
  readonly label: string;
  readonly quantity: QuantityName;
  readonly initial: string;
  /** Path of the field in the faults of its sum; its name where left out. */
  readonly fault?: string;
  readonly note?: string;
  readonly hideLabel?: boolean;
}) {
  const units = useStore(workshop, (value) => value.units);
  const text = useField(name, initial);
  const faults = useContext(Faults);
  // While a person types, what they typed stands, whatever it would turn into in the other system.
  const [draft, setDraft] = useState<string | null>(null);
  const value = typedNumber(text);
  const shown =
    draft ?? (Number.isNaN(value) ? text : units === "metric" ? text : plain(shownIn(value, quantity, units)));
  const own = faults.find(({ field }) => field === (fault ?? name));
  const unit = unitOf(quantity, units);
  return (
    <TextField
      className="field"
      value={shown}
      isInvalid={own !== undefined}
      onChange={(typed) => {
        setDraft(typed);
        const number = typedNumber(typed);
        setField(name, units === "metric" || Number.isNaN(number) ? typed : plain(metricOf(number, quantity, units)));
      }}
      onBlur={() => setDraft(null)}
      {...(hideLabel ? { "aria-label": unit === "" ? label : `${label}, ${unit}` } : {})}
    >
      {!hideLabel && <Label>{label}</Label>}
      <span className="field-box">
        <Input inputMode="decimal" autoComplete="off" />
        {unit !== "" && (
          <Text slot="description" className="field-unit">
            {unit}
          </Text>
        )}
      </span>
      {note !== undefined && <span className="field-note">{note}</span>}
      <FieldError className="field-fault">{own?.sentence}</FieldError>
    </TextField>
  );
}

/** A field for words. */
export function WordsField({
  label,
  value,
  onChange,
  lines = 1,
  fault,
}: {
  readonly label: string;
  readonly value: string;
  readonly onChange: (value: string) => void;
  readonly lines?: number;
  readonly fault?: string;
}) {
  return (
    <TextField className="field words" value={value} onChange={onChange} isInvalid={fault !== undefined}>
      <Label>{label}</Label>
      {lines === 1 ? <Input autoComplete="off" /> : <TextArea rows={lines} />}
      <FieldError className="field-fault">{fault}</FieldError>
    </TextField>
  );
}

/** One of a few. The browser's own list: it is known to every hand and every screen reader. */
export function Choice({
  label,
  value,
  options,
  onChange,
  hideLabel = false,
  fault,
}: {
  readonly label: string;
  readonly value: string;
  readonly options: readonly (readonly [value: string, words: string])[];
  readonly onChange: (value: string) => void;
  readonly hideLabel?: boolean;
  readonly fault?: string;
}) {
  const faults = useContext(Faults);
  const own = fault === undefined ? undefined : faults.find(({ field }) => field === fault);
  return (
    <label className="field">
      <span className={hideLabel ? "unseen" : undefined}>{label}</span>
      <select value={value} onChange={(event) => onChange(event.target.value)} aria-invalid={own !== undefined}>
        {options.map(([each, words]) => (
          <option key={each} value={each}>
            {words}
          </option>
        ))}
      </select>
      {own && <span className="field-fault">{own.sentence}</span>}
    </label>
  );
}

/** A choice whose value is a field of the store. */
export function FieldChoice(props: {
  readonly name: string;
  readonly label: string;
  readonly initial: string;
  readonly options: readonly (readonly [value: string, words: string])[];
  readonly hideLabel?: boolean;
  readonly fault?: string;
}) {
  const value = useField(props.name, props.initial);
  return <Choice {...props} value={value} onChange={(chosen) => setField(props.name, chosen)} />;
}

/** Fields that belong together, under their heading. */
export function Group({ title, children }: { readonly title: string; readonly children: ReactNode }) {
  return (
    <fieldset className="field-group">
      <legend>{title}</legend>
      {children}
    </fieldset>
  );
}

/** A metric value in words in the units that are on: "34.1 N mm". */
export function useWords(): (value: number, quantity: QuantityName, sigma?: number) => string {
  const units = useStore(workshop, (value) => value.units);
  return (value, quantity, sigma) => {
    const shown = shownIn(value, quantity, units);
    const unit = unitOf(quantity, units);
    const space = unit === "" || unit.startsWith("\u00b0 ") || unit === "\u00b0" ? unit : ` ${unit}`;
    const wrong = sigma === undefined ? Number.NaN : Math.abs(shownIn(value + sigma, quantity, units) - shown);
    if (wrong > 0) {
      const decimals = Math.min(4, Math.max(0, Math.ceil(-Math.log10(wrong))));
      return `${figure(shown, decimals)} \u00b1 ${figure(wrong, decimals)}${space}`;
    }
    const size = Math.abs(shown);
    return `${figure(shown, size >= 100 ? 0 : size >= 10 ? 1 : 2)}${space}`;
  };
}
