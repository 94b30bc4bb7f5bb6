import type { CSSProperties } from "react";
import { Side } from "../card/Side.tsx";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { Table } from "../table/Table.tsx";
import { TableBar } from "../table/TableBar.tsx";
import { TableWords } from "../table/TableWords.tsx";
import { AXIS_HEIGHT, ROW_WANTED } from "../timeline/scale.ts";
import { Timeline } from "../timeline/Timeline.tsx";
import { Welcome } from "./Welcome.tsx";

/** The light table with the seismograph under it. */
export function ShotScreen() {
  const phase = useStore(session, (value) => value.phase);
  const files = useStore(session, (value) => value.files);
  const strips = useStore(session, (value) => value.strips);
  if (files === null && strips === null) return <Welcome isReading={phase === "reading"} />;
  return (
    <div
      className={strips ? "shot" : "shot no-strips"}
      style={
        strips ? ({ "--timeline": `${AXIS_HEIGHT + ROW_WANTED * strips.strips.length + 2}px` } as CSSProperties) : {}
      }
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
