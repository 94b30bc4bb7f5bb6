import type { VerdictChoice } from "../../model/index.ts";
import { type Action, actions } from "../actions.ts";

/** The verdicts in the order in which they are offered, each with its action. Asked for late: the table of actions is made of the same. */
export const choices: readonly { readonly choice: VerdictChoice; readonly action: () => Action }[] = [
  { choice: "meant", action: () => actions.meant },
  { choice: "put-right", action: () => actions.putRight },
  { choice: "ease-back", action: () => actions.easeBack },
  { choice: "reshoot", action: () => actions.reshoot },
  { choice: "paint-out", action: () => actions.paintOut },
  { choice: "live-with-it", action: () => actions.liveWithIt },
  { choice: "to-the-bench", action: () => actions.toTheBench },
];
