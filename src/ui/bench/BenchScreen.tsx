import { useEffect } from "react";
import { Button, Tab, TabList, TabPanel, Tabs } from "react-aria-components";
import { counted } from "../../reports/words.ts";
import { storage } from "../state/storage.ts";
import { useStore } from "../state/store.ts";
import { Choice } from "../workshop/fields.tsx";
import { benchData, followBench } from "./bench-data.ts";
import { bench, type Tab as TabId, tabs } from "./bench-state.ts";
import { ComingPanel } from "./ComingPanel.tsx";
import { DriftsPanel } from "./DriftsPanel.tsx";
import { FacesPanel } from "./FacesPanel.tsx";
import { keepNightReports } from "./keep-night.ts";
import { leaveNightReports, nightReports, takeNightReports } from "./night-reports.ts";
import { RepairsPanel } from "./RepairsPanel.tsx";
import { useShots } from "./use-bench.ts";
import { WorkPanel } from "./WorkPanel.tsx";

const panels = {
  drifts: DriftsPanel,
  repairs: RepairsPanel,
  coming: ComingPanel,
  work: WorkPanel,
  faces: FacesPanel,
} satisfies Record<TabId, unknown>;

function Night() {
  const { reports, reading, keeping, told } = useStore(nightReports, (value) => value);
  const canKeep = useStore(storage, ({ phase }) => phase !== "closed");
  return (
    <div className="bench-night">
      <Button className="button" isDisabled={reading} onPress={() => void takeNightReports()}>
        {reading ? "Reading reports" : "Take report files"}
      </Button>
      {reports.length === 0 ? (
        <p role="status">{told === "" ? "From a folder, as a night run leaves them." : told}</p>
      ) : (
        <>
          <p>
            {counted(reports.length, "report")} of a night run.{" "}
            <Button className="link" onPress={leaveNightReports}>
              Put them away
            </Button>
          </p>
          {canKeep && (
            <Button className="button strong" onPress={() => void keepNightReports()}>
              {keeping ? "Keeping them" : reports.length === 1 ? "Keep this report" : `Keep these ${reports.length}`}
            </Button>
          )}
          <p>
            {canKeep
              ? "As shots, so that verdicts and notes can be put on them. Otherwise they are gone when the page is closed."
              : "They are gone when the page is closed: this browser keeps nothing for this page."}
          </p>
        </>
      )}
    </div>
  );
}

/** What the puppets do over all shots. */
export function BenchScreen() {
  const tab = useStore(bench, (value) => value.tab);
  const phase = useStore(benchData, (value) => value.phase);
  const productions = useStore(benchData, (value) => value.productions);
  const production = useStore(benchData, (value) => value.production);
  const shots = useShots();
  useEffect(followBench, []);
  return (
    <Tabs
      className="workshop bench"
      orientation="vertical"
      selectedKey={tab}
      onSelectionChange={(key) => bench.set({ tab: tabs.find(({ id }) => id === key)?.id ?? "drifts" })}
    >
      <div className="workshop-side">
        <TabList className="workshop-tabs" aria-label="Bench">
          {tabs.map(({ id, label }) => (
            <Tab key={id} id={id} className="workshop-tab">
              {label}
            </Tab>
          ))}
        </TabList>
        <div className="workshop-tools">
          {productions.length > 1 && (
            <Choice
              label="Production"
              value={production ?? ""}
              options={productions.map(({ id, name }) => [id, name] as const)}
              onChange={(id) => benchData.set({ production: id })}
            />
          )}
          <Night />
          <Button className="button" onPress={() => window.print()}>
            Print this page
          </Button>
        </div>
      </div>
      {tabs.map(({ id }) => {
        const Panel = panels[id];
        return (
          <TabPanel key={id} id={id} className="workshop-panel">
            {phase === "asking" ? (
              <p className="bench-wait" role="status">
                Reading what is kept
              </p>
            ) : (
              <Panel shots={shots} />
            )}
          </TabPanel>
        );
      })}
    </Tabs>
  );
}
