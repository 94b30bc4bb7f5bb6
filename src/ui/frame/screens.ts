import type { ComponentType } from "react";
import { BenchScreen } from "../bench/BenchScreen.tsx";
import { DailiesScreen } from "../dailies/DailiesScreen.tsx";
import { HandoverPage } from "../pages/HandoverPage.tsx";
import { ProvePage } from "../pages/ProvePage.tsx";
import { StrikePage } from "../pages/StrikePage.tsx";
import { WorkshopScreen } from "../workshop/WorkshopScreen.tsx";
import { ShotScreen } from "./ShotScreen.tsx";

export interface Screen {
  readonly id: string;
  readonly label: string;
  readonly body: ComponentType;
  /** True for a page about the shot that is open, which the shot leads to and the header doesn't. */
  readonly ofShot?: boolean;
}

/** The screens there are. With a second one here the header shows the way between them. */
export const screens: readonly Screen[] = [
  { id: "shot", label: "Shot", body: ShotScreen },
  // The same table and the same strips, with the sheet beside them in place of the findings.
  { id: "parts", label: "Parts", body: ShotScreen },
  { id: "bench", label: "Bench", body: BenchScreen },
  { id: "dailies", label: "Dailies", body: DailiesScreen },
  { id: "workshop", label: "Workshop", body: WorkshopScreen },
  { id: "strike", label: "Strike", body: StrikePage, ofShot: true },
  { id: "prove", label: "Prove it", body: ProvePage, ofShot: true },
  { id: "handover", label: "Handover", body: HandoverPage, ofShot: true },
];
