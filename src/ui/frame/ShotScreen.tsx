import type { CSSProperties } from "react";
import { Side } from "../card/Side.tsx";
import { session } from "../state/session.ts";
import { settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { Table } from "../table/Table.tsx";
import { TableBar } from "../table/TableBar.tsx";
import { TableWords } from "../table/TableWords.tsx";
import { wantedHeight } from "../timeline/scale.ts";
import { Timeline } from "../timeline/Timeline.tsx";
import { Welcome } from "./Welcome.tsx";

/** The light table with the seismograph under it. */
export function ShotScreen() {
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
      <section className="table" aria-label="Frame">
        <Table />
        <TableWords />
        <TableBar />
      </section>
      <Side />
      {strips && <Timeline strips={strips} />}
    </div>
  );
}
