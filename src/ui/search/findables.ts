import { flagKindLabels } from "../../model/index.ts";
import { actionList, actions } from "../actions.ts";
import { screens } from "../frame/screens.ts";
import { choose, goTo, goToFlag } from "../state/looking.ts";
import { goToScreen, screen } from "../state/screen.ts";
import { session } from "../state/session.ts";
import { view } from "../state/view.ts";
import { groupsOf } from "../strips/groups.ts";
import { stripOfFlag } from "../strips/strips.ts";
import { type Findable, find, frameNamed } from "./find.ts";

/** What is found on the shot is looked at there. */
const onShot = (act: () => void) => () => {
  if (screen.get().now !== "" && screen.get().now !== "shot") goToScreen("shot");
  act();
};

function findings(): readonly Findable[] {
  const { strips } = session.get();
  return (strips?.flags ?? []).map((flag) => {
    const name = strips?.strips.find((strip) => strip.id === stripOfFlag(flag))?.name ?? "Picture";
    const span = flag.from === flag.to ? `frame ${flag.from}` : `frames ${flag.from} to ${flag.to}`;
    return {
      id: `finding ${flag.id}`,
      kind: "finding" as const,
      section: "Findings",
      words: `${name}: ${flagKindLabels[flag.kind]}`,
      more: span,
      keys: [],
      perform: onShot(() => goToFlag(flag)),
    };
  });
}

function parts(): readonly Findable[] {
  const strips = (session.get().strips?.strips ?? []).filter((strip) => strip.kind === "part");
  return groupsOf(strips).flatMap((group) =>
    group.strips.map((strip) => ({
      id: `part ${strip.id}`,
      kind: "part" as const,
      section: "Parts",
      words: strip.name,
      more: group.name,
      keys: [],
      perform: onShot(() => view.get().strip !== strip.id && choose(strip.id)),
    })),
  );
}

/** Everything that can be done now, from the one table of actions; the search itself needs no search. */
function doable(): readonly Findable[] {
  return actionList
    .filter((action) => action !== actions.search && action.when())
    .map((action) => ({
      id: `action ${action.group} ${action.label}`,
      kind: "action" as const,
      section: action.group,
      words: action.label,
      more: action.group,
      keys: action.keys,
      perform: action.group === "Page" || action.group === "Shot" ? action.perform : onShot(action.perform),
    }));
}

const places = (): readonly Findable[] =>
  screens.map(({ id, label }) => ({
    id: `screen ${id}`,
    kind: "screen" as const,
    section: "Screens",
    words: label,
    more: "screen",
    keys: [],
    perform: () => goToScreen(id),
  }));

/** What a query finds: a frame that it names first, then what is to be done, findings, parts and screens. */
export function found(query: string): readonly Findable[] {
  const { strips, report } = session.get();
  const frame = frameNamed(query, strips?.frames ?? [], report?.shot.fps ?? 24, report?.shot.timecodeStart ?? null);
  const named: readonly Findable[] =
    frame === null
      ? []
      : [
          {
            id: `frame ${frame}`,
            kind: "frame",
            section: "Frames of the shot",
            words: `Go to frame ${frame}`,
            more: "",
            keys: [],
            perform: onShot(() => {
              view.set({ playing: false });
              goTo(frame);
            }),
          },
        ];
  return [...named, ...find(query, [...findings(), ...doable(), ...parts(), ...places()])];
}
