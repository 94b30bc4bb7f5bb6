import { type Action, actionList } from "./actions.ts";
import { screen } from "./state/screen.ts";
import { settings } from "./state/settings.ts";
import { view } from "./state/view.ts";

/** Things that take keys for themselves. */
const typing =
  "input:not([type=checkbox], [type=radio]), textarea, select, [contenteditable], [role=menu], [role=listbox], [role=dialog], [role=alertdialog]";
const pressed = "button, a[href], [role=button], [role=radio], summary, [role=switch], input";
const steered = "[role=slider], [role=radiogroup], [role=toolbar]";

function meant(event: KeyboardEvent): string {
  const letter = /^[a-z]$/iu.test(event.key);
  if (event.ctrlKey || event.metaKey) return `Ctrl+${event.shiftKey ? "Shift+" : ""}${event.key.toUpperCase()}`;
  if (event.shiftKey && (letter || event.key.startsWith("Arrow")))
    return `Shift+${letter ? event.key.toUpperCase() : event.key}`;
  return letter ? event.key.toLowerCase() : event.key;
}

/** Turns keys into actions while nothing else has a use for them. */
export function listenToKeys(): void {
  const down = (event: KeyboardEvent) => {
    if (event.defaultPrevented || event.altKey || view.get().dialog) return;
    const target = event.target instanceof Element ? event.target : document.body;
    if (target.closest(typing)) return;
    if ((event.key === " " || event.key === "Enter") && target.closest(pressed)) return;
    if (event.key.startsWith("Arrow") && !event.shiftKey && target.closest(steered)) return;
    const key = meant(event);
    // Letters and signs can be switched off; keys that no voice control types by accident stay.
    if (key.replace("Shift+", "").length === 1 && key !== " " && !settings.get().keys) return;
    // On other screens the shot's own keys rest: what they would do can't be seen.
    const isHere = ({ group }: Action) =>
      group === "Page" || group === "Shot" || ["", "shot", "parts"].includes(screen.get().now);
    const action = actionList.find((each) => each.keys.includes(key) && isHere(each) && each.when());
    if (!action) return;
    event.preventDefault();
    if (action.release) {
      if (event.repeat) return;
      held = { code: event.code, release: action.release };
    }
    action.perform();
  };
  /** What lasts as long as its key, and which key that is: Shift may come and go meanwhile. */
  let held: { readonly code: string; readonly release: () => void } | null = null;
  const letGo = (event: KeyboardEvent | Event) => {
    if (held === null || (event instanceof KeyboardEvent && event.code !== held.code)) return;
    held.release();
    held = null;
  };
  document.addEventListener("keydown", down);
  document.addEventListener("keyup", letGo);
  window.addEventListener("blur", letGo);
}
