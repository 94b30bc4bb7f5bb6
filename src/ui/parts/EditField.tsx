import { useId, useRef, useState } from "react";
import { dropRefusal, sheetEditing } from "../state/sheet-editing.ts";
import { useStore } from "../state/store.ts";

/** Why an edit was refused, under the field that it was made at. */
export function Refusal({ field }: { readonly field: string }) {
  const refused = useStore(sheetEditing, (value) => value.refused);
  if (refused?.field !== field) return null;
  return (
    <>
      {refused.sentences.map((sentence) => (
        <span key={sentence} className="field-fault">
          {sentence}
        </span>
      ))}
    </>
  );
}

/**
 * A field of the sheet. What is typed goes into the sheet when the field is left or with Enter; what is refused stays
 * in the field, with the reason under it, until it is mended or given up with Escape.
 */
export function EditField({
  label,
  value,
  field,
  commit,
  unit = "",
  note,
  wide = false,
  numeric = false,
  hideLabel = false,
  focusKey,
  suggestions,
}: {
  readonly label: string;
  readonly value: string;
  /** Where refusals are told. */
  readonly field: string;
  readonly commit: (text: string) => boolean;
  readonly unit?: string;
  readonly note?: string;
  readonly wide?: boolean;
  readonly numeric?: boolean;
  readonly hideLabel?: boolean;
  /** Set to have the field take the keyboard's place; see FocusName. */
  readonly focusKey?: string;
  readonly suggestions?: readonly string[];
}) {
  const [draft, setDraft] = useState<string | null>(null);
  const isRefused = useStore(sheetEditing, (now) => now.refused?.field === field);
  const id = useId();
  const input = useRef<HTMLInputElement>(null);
  const put = () => {
    if (draft === null) return;
    if (draft === value || commit(draft)) setDraft(null);
  };
  return (
    <div className={wide ? "field words" : "field"} data-invalid={isRefused || undefined}>
      <label htmlFor={id} className={hideLabel ? "unseen" : undefined}>
        {unit === "" ? label : `${label}, ${unit}`}
      </label>
      <input
        ref={input}
        id={id}
        value={draft ?? value}
        inputMode={numeric ? "decimal" : "text"}
        autoComplete="off"
        spellCheck={false}
        aria-invalid={isRefused}
        aria-describedby={isRefused ? `${id}-fault` : undefined}
        list={suggestions && suggestions.length > 0 ? `${id}-list` : undefined}
        data-focus={focusKey}
        onChange={(event) => {
          setDraft(event.target.value);
          if (isRefused) dropRefusal();
        }}
        onBlur={put}
        onKeyDown={(event) => {
          if (event.key === "Enter") put();
          else if (event.key === "Escape" && draft !== null) {
            event.preventDefault();
            setDraft(null);
            dropRefusal();
          }
        }}
      />
      {suggestions && suggestions.length > 0 && (
        <datalist id={`${id}-list`}>
          {suggestions.map((each) => (
            <option key={each} value={each}>
              {each}
            </option>
          ))}
        </datalist>
      )}
      {note !== undefined && <span className="field-note">{note}</span>}
      <span id={`${id}-fault`}>
        <Refusal field={field} />
      </span>
    </div>
  );
}

/** One of a few, that goes into the sheet at once. */
export function EditChoice({
  label,
  value,
  field,
  options,
  commit,
  hideLabel = false,
}: {
  readonly label: string;
  readonly value: string;
  readonly field: string;
  readonly options: readonly (readonly [value: string, words: string])[];
  readonly commit: (value: string) => boolean;
  readonly hideLabel?: boolean;
}) {
  const isRefused = useStore(sheetEditing, (now) => now.refused?.field === field);
  return (
    <label className="field pick">
      <span className={hideLabel ? "unseen" : undefined}>{label}</span>
      <select value={value} aria-invalid={isRefused} onChange={(event) => commit(event.target.value)}>
        {options.map(([each, words]) => (
          <option key={each} value={each}>
            {words}
          </option>
        ))}
      </select>
      <Refusal field={field} />
    </label>
  );
}
