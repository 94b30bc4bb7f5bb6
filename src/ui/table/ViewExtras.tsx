import { Button } from "react-aria-components";
import { actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { gains, view } from "../state/view.ts";

/** What only one of the views can be told: how strong the difference is, and who flips. */
export function ViewExtras() {
  const { picture, gain, flipHeld } = useStore(view, (value) => value);
  const files = useStore(session, (value) => value.files);
  if (!files) return null;
  if (picture === "difference") {
    return (
      <div className="extras">
        <ActionButton
          className="word-button"
          action={actions.weaker}
          name={actions.weaker.label}
          isDisabled={gain === gains[0]}
        >
          −
        </ActionButton>
        <span>{gain} times</span>
        <ActionButton
          className="word-button"
          action={actions.stronger}
          name={actions.stronger.label}
          isDisabled={gain === gains[gains.length - 1]}
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
  return null;
}
