import { ToggleButton } from "react-aria-components";
import type { Flag } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { Key } from "../frame/ActionButton.tsx";
import { useStore } from "../state/store.ts";
import { together } from "../words/together.ts";
import { view } from "../state/view.ts";

/** What a drift will do if nobody does anything, and how it can be taken back unseen. */
export function ComesNext({ flag }: { readonly flag: Flag }) {
  const ghost = useStore(view, (value) => value.ghost);
  const { forecast, easeBack } = flag;
  if (forecast === undefined && easeBack === undefined) return null;
  return (
    <>
      {forecast !== undefined && (
        <section className="card-part">
          <h3>What comes next</h3>
          <p>{together(forecast.message)}</p>
        </section>
      )}
      {easeBack !== undefined && (
        <section className="card-part">
          <h3>Easing it back</h3>
          <p>{together(easeBack.message)}</p>
          <ToggleButton className="word-button" isSelected={ghost} onChange={actions.ghost.perform}>
            <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
              <path d={ghost ? "M2 7l3.5 3.5L12 3.5" : "M2 7h10"} />
            </svg>
            Ghost on the picture <Key action={actions.ghost} />
          </ToggleButton>
        </section>
      )}
    </>
  );
}
