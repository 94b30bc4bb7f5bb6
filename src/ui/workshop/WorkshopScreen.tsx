import { Button, Switch, Tab, TabList, TabPanel, Tabs } from "react-aria-components";
import { useStore } from "../state/store.ts";
import { CausesPanel } from "./CausesPanel.tsx";
import { LiningPanel } from "./LiningPanel.tsx";
import { LoadPanel } from "./LoadPanel.tsx";
import { MixPanel } from "./MixPanel.tsx";
import { OwnPanel } from "./OwnPanel.tsx";
import { type Tab as TabId, tabs, workshop } from "./workshop-state.ts";

const panels = {
  causes: CausesPanel,
  load: LoadPanel,
  lining: LiningPanel,
  mix: MixPanel,
  own: OwnPanel,
} satisfies Record<TabId, unknown>;

/** From a flag to the cure, and the sums of the puppet department. */
export function WorkshopScreen() {
  const tab = useStore(workshop, (value) => value.tab);
  const units = useStore(workshop, (value) => value.units);
  return (
    <Tabs
      className="workshop"
      orientation="vertical"
      selectedKey={tab}
      onSelectionChange={(key) => workshop.set({ tab: tabs.find(({ id }) => id === key)?.id ?? "causes" })}
    >
      <div className="workshop-side">
        <TabList className="workshop-tabs" aria-label="Workshop">
          {tabs.map(({ id, label }) => (
            <Tab key={id} id={id} className="workshop-tab">
              {label}
            </Tab>
          ))}
        </TabList>
        <div className="workshop-tools">
          <Switch
            className="switch"
            isSelected={units === "imperial"}
            onChange={(on) => workshop.set({ units: on ? "imperial" : "metric" })}
          >
            <span className="switch-track" aria-hidden="true" />
            Ounces and inches
          </Switch>
          <Button className="button" onPress={() => window.print()}>
            Print this card
          </Button>
        </div>
      </div>
      {tabs.map(({ id }) => {
        const Panel = panels[id];
        return (
          <TabPanel key={id} id={id} className="workshop-panel">
            <Panel />
          </TabPanel>
        );
      })}
    </Tabs>
  );
}
