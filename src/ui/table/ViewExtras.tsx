import { Button, ToggleButton } from "react-aria-components";
import { type Action, actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { SaveHeld } from "./SaveHeld.tsx";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { exaggerations, gains, view } from "../state/view.ts";

/** What only one of the views can be told: how strong the difference is, and who flips. */
export function ViewExtras() {
  const { picture, gain, times, flipHeld, steady, beside } = useStore(view, (value) => value);
  const files = useStore(session, (value) => value.files);
  if (!files) return null;
  if (picture === "difference" || picture === "exaggerate") {
    const [list, now] = picture === "difference" ? [gains, gain] : [exaggerations, times];
    return (
      <div className="extras">
        {picture === "difference" && <Switch action={actions.steady} isOn={steady} label="Camera out" />}
        <ActionButton
          className="word-button"
          action={actions.weaker}
          name={actions.weaker.label}
          isDisabled={now === list[0]}
        >
          −
        </ActionButton>
        <span className="extras-times">{now} times</span>
        <ActionButton
          className="word-button"
          action={actions.stronger}
          name={actions.stronger.label}
          isDisabled={now === list[list.length - 1]}
        >
          +
        </ActionButton>
      </div>
    );
  }
  if (picture === "flip") {
    return (
      <div className="extras">
        <Button className="word-button" onPress={() => view.set({ flipHeld: !flipHeld })}>
          {flipHeld ? "Flip by itself" : "Hold"}
        </Button>
        <ActionButton className="word-button" action={actions.swap}>
          Swap <Key action={actions.swap} />
        </ActionButton>
      </div>
    );
  }
  if (picture === "over") return <Switch action={actions.steady} isOn={steady} label="Camera out" />;
  if (picture === "held") {
    return (
      <div className="extras">
        <Switch action={actions.beside} isOn={beside} label="Beside" />
        <SaveHeld />
      </div>
    );
  }
  return null;
}

function Switch({ action, isOn, label }: { readonly action: Action; readonly isOn: boolean; readonly label: string }) {
  return (
    <ToggleButton className="word-button" isSelected={isOn} onChange={action.perform} isDisabled={!action.when()}>
      <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
        <path d={isOn ? "M2 7l3.5 3.5L12 3.5" : "M2 7h10"} />
      </svg>
      {label} <Key action={action} />
    </ToggleButton>
  );
}
