import { redrawState } from "./supply.ts";
import { session } from "../state/session.ts";
import { heldChoice } from "../state/redraws.ts";
import { useStore } from "../state/store.ts";
import { whyNotHeld } from "./why-not-held.ts";
import { view } from "../state/view.ts";

const listed = (names: readonly string[]): string =>
  names.length > 2 ? `${names.slice(0, 1).join(", ")} and ${names.length - 1} more` : names.join(", ");

/** From this share on what was filled in is worth saying. */
const WORTH = 0.02;

/** What of the picture is drawn elsewhere, and what of it no frame shows. */
export function RedrawWords() {
  const { picture, times, strip, playing, frame, flag: chosen } = useStore(view, (value) => value);
  const report = useStore(session, (value) => value.report);
  const strips = useStore(session, (value) => value.strips);
  const flag = strips?.flags.find(({ id }) => id === chosen);
  const { parts, guessed, working } = useStore(redrawState, (value) => value);
  if (report === null) return "";
  // What is flagged comes first: the rest goes along, or is small.
  const told = new Set(report.flags.flatMap(({ part, carries }) => [part ?? "", ...carries]));
  const names = parts
    .toSorted((a, b) => Number(told.has(b)) - Number(told.has(a)))
    .map((id) => report.parts.find((part) => part.id === id)?.name ?? id);
  const isHeld = picture === "held";
  const camera = isHeld ? heldChoice().camera !== null : strip === "camera";
  const drawn = [...(camera ? ["camera"] : []), ...names];
  // While playing the words would change with every frame that is late.
  if (working && !playing) return "Being drawn";
  const filled = guessed >= WORTH ? `; ${Math.round(guessed * 100)} % of it filled in, as no frame shows it` : "";
  if (drawn.length === 0)
    return isHeld
      ? ((flag && strips && whyNotHeld(flag, strips, frame)) ?? "Nothing that was chosen can be put back in this frame")
      : "Nothing in this frame has drifted surely";
  return isHeld
    ? `As if it had held: ${listed(drawn)}`
    : `Drift ${times} times as large: ${listed(drawn)}; outline: where it is${filled}`;
}
