/** What actions are for: the list of keys and the search have a heading for each. */
export const actionGroups = ["Frames", "Timeline", "Picture", "Findings", "Verdict", "Sheet", "Shot", "Page"] as const;

/** Something a person can do. Keys, tips, menus, the search and the list of keys are all made from one table of these. */
export interface Action {
  readonly label: string;
  readonly group: (typeof actionGroups)[number];
  /** As KeyboardEvent.key names them, with "Shift+" before where it counts; none where the search is the way to it. */
  readonly keys: readonly string[];
  readonly when: () => boolean;
  readonly perform: () => void;
  /** For what lasts as long as its key is held down. */
  readonly release?: () => void;
}
