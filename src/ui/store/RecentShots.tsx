import { Button } from "react-aria-components";
import type { ShotRecord } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { openKept } from "../state/open-kept.ts";
import { shots } from "../state/shots.ts";
import { useStore } from "../state/store.ts";
import { ShotPicture } from "./ShotPicture.tsx";
import { dayInWords, foundInWords, titleOf } from "./words.ts";

/** More than these are in the list of all shots. */
const MOST = 4;

/** The shots that were open last, each one click away: its report at once, its frames as soon as they may be read. */
export function RecentShots() {
  const list = useStore(shots, (value) => value.shots);
  const productions = useStore(shots, (value) => value.productions);
  if (list.length === 0) return null;
  return (
    <section className="recent" aria-labelledby="recent-title">
      <header>
        <h2 id="recent-title">Go on with</h2>
        <Button className="word-button" onPress={actions.shots.perform}>
          All {list.length === 1 ? "shots" : `${list.length} shots`}
        </Button>
      </header>
      <ul>
        {list.slice(0, MOST).map((shot) => (
          <li key={shot.id}>
            <Recent shot={shot} production={productions.find(({ id }) => id === shot.production)?.name ?? ""} />
          </li>
        ))}
      </ul>
    </section>
  );
}

function Recent({ shot, production }: { readonly shot: ShotRecord; readonly production: string }) {
  return (
    <Button className="recent-shot" onPress={() => void openKept(shot.id)}>
      <ShotPicture shot={shot} />
      <span className="recent-words">
        <strong>{titleOf(shot)}</strong>
        <span>{[production, dayInWords(shot)].filter((word) => word !== "").join(", ")}</span>
        <span className={shot.found && shot.found.open > 0 ? "recent-open" : ""}>{foundInWords(shot)}</span>
      </span>
    </Button>
  );
}
