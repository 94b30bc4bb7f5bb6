import { goToScreen, screen } from "../state/screen.ts";
import { view } from "../state/view.ts";
import { workshop } from "./workshop-state.ts";

export const WORKSHOP = "workshop";

/** Goes to the causes and fixes of a finding. */
export function openCauses(flag: string): void {
  view.set({ playing: false });
  workshop.set({ tab: "causes", flag });
  goToScreen(WORKSHOP);
}

/** To the workshop, with the finding that is chosen, and back to the shot. */
export function toggleWorkshop(): void {
  if (screen.get().now === WORKSHOP) {
    goToScreen("shot");
    return;
  }
  const { flag } = view.get();
  if (flag === null) {
    view.set({ playing: false });
    goToScreen(WORKSHOP);
  } else openCauses(flag);
}
