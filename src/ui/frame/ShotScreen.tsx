import type { CSSProperties } from "react";
import { IntentBar } from "../parts/intents/IntentBar.tsx";
import { PartsPanel } from "../parts/PartsPanel.tsx";
import { PartsOnTable } from "../parts/PartsOnTable.tsx";
import { isOnParts } from "../parts/open.ts";
import { Side } from "../card/Side.tsx";
import { screen } from "../state/screen.ts";
import { session } from "../state/session.ts";
import { settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { FramesAway } from "../store/FramesAway.tsx";
import { Table } from "../table/Table.tsx";
import { TableBar } from "../table/TableBar.tsx";
import { TableWords } from "../table/TableWords.tsx";
import { wantedHeight } from "../timeline/scale.ts";
import { Timeline } from "../timeline/Timeline.tsx";
import { Welcome } from "./Welcome.tsx";

/** The light table with the seismograph under it. */
export function ShotScreen() {
  const onParts = useStore(screen, isOnParts);
  const phase = useStore(session, (value) => value.phase);
  const files = useStore(session, (value) => value.files);
  const strips = useStore(session, (value) => value.strips);
  const chosen = useStore(settings, (value) => value.timeline);
  if (files === null && strips === null) return <Welcome isReading={phase === "reading"} />;
  const parts = strips?.strips.filter((strip) => strip.kind === "part").length ?? 0;
  const height = chosen === null ? `min(${wantedHeight(parts)}px, 40vh)` : `min(${chosen}px, 75vh)`;
  return (
    <div
      className={strips ? "shot" : "shot no-strips"}
      style={strips ? ({ "--timeline": height } as CSSProperties) : {}}
    >
      <section className={onParts ? "table with-tools" : "table"} aria-label="Frame">
        <Table />
        <FramesAway />
        {onParts ? <PartsOnTable /> : <TableWords />}
        <TableBar />
        {onParts && strips && <IntentBar />}
      </section>
      {onParts ? <PartsPanel /> : <Side />}
      {strips && <Timeline strips={strips} />}
    </div>
  );
}
