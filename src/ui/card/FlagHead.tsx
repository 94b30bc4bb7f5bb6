import { ToggleButton } from "react-aria-components";
import { type Flag, flagKindLabels } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { reading } from "../state/reading.ts";
import { useStore } from "../state/store.ts";
import type { Strips } from "../strips/strips.ts";

/** Which finding of how many, the way to its neighbours, and whether uncertainties are told. */
export function FlagHead({ flag, strips }: { readonly flag: Flag; readonly strips: Strips }) {
  const exact = useStore(reading, (value) => value.exact);
  const place = strips.flags.findIndex((each) => each.id === flag.id) + 1;
  const count = strips.flags.length;
  return (
    <div className="flag-head">
      <span className="flag-place">
        {count > 1 ? `Finding ${place} of ${count}` : "The only finding"}
        <span>{flagKindLabels[flag.kind]}</span>
      </span>
      <ToggleButton className="word-button" isSelected={exact} onChange={actions.exact.perform}>
        ± <span className="visually-hidden">of every number</span>
        <Key action={actions.exact} />
      </ToggleButton>
      {count > 1 && (
        <>
          <ActionButton className="icon-button" action={actions.lastFlag} name="Finding before">
            <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
              <path d="M10 3.5 5.5 8 10 12.5" />
            </svg>
          </ActionButton>
          <ActionButton className="icon-button" action={actions.nextFlag} name="Next finding">
            <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
              <path d="M6 3.5 10.5 8 6 12.5" />
            </svg>
          </ActionButton>
        </>
      )}
    </div>
  );
}
