import { closeShot } from "./checking.ts";
import { flush } from "./keeping.ts";
import { pictures } from "./pictures.ts";
import { addNotice, session } from "./session.ts";
import { opened } from "./storage.ts";

/** Nothing is open any more. */
export function leaveShot(): void {
  closeShot();
  pictures.clear();
  session.set({
    phase: "empty",
    shot: null,
    id: null,
    files: null,
    sheet: null,
    old: null,
    report: null,
    strips: null,
  });
}

/** Removes a shot from the store with all that belongs to it; its frames stay where they are. */
export async function removeShot(id: string): Promise<void> {
  const store = await opened;
  if (store === null) return;
  if (session.get().id === id) leaveShot();
  // What still waits would bring it back.
  await flush();
  const answer = await store.removeShot(id);
  if (!answer.ok)
    addNotice("It could not be removed", [answer.code === "changed" ? "Another tab is writing it." : answer.detail]);
}
