import type { ComponentType } from "react";
import { WorkshopScreen } from "../workshop/WorkshopScreen.tsx";
import { ShotScreen } from "./ShotScreen.tsx";

export interface Screen {
  readonly id: string;
  readonly label: string;
  readonly body: ComponentType;
}

/** The screens there are. With a second one here the header shows the way between them. */
export const screens: readonly Screen[] = [
  { id: "shot", label: "Shot", body: ShotScreen },
  // The same table and the same strips, with the sheet beside them in place of the findings.
  { id: "parts", label: "Parts", body: ShotScreen },
  { id: "workshop", label: "Workshop", body: WorkshopScreen },
];
