import type { Action } from "../action.ts";
import { folded } from "../state/folded.ts";
import { lane, scaleNow, showFrames, wholeLane, zoomLane } from "../state/lane.ts";
import { dropRange, rangeOfFlag, widenRange } from "../state/range.ts";
import { axisKinds, reading } from "../state/reading.ts";
import { session } from "../state/session.ts";
import { view } from "../state/view.ts";
import { groupsOf } from "../strips/groups.ts";

const hasStrips = () => session.get().strips !== null;
const isCloser = () => hasStrips() && lane.get().zoom > 1;
const hasRange = () => view.get().range !== null;
const isChecking = () => session.get().phase === "checking";
const strips = () => session.get().strips?.strips ?? [];

const CLOSER = 1.5;
/** About the playhead, so that what one looks at stays in sight. */
const zoomAtPlayhead = (factor: number) => () => zoomLane(factor, scaleNow().x(view.get().frame));

const nextAxis = () => {
  const at = axisKinds.indexOf(reading.get().axis);
  reading.set({ axis: axisKinds[(at + 1) % axisKinds.length]! });
};

const foldAll = () => {
  const all = groupsOf(strips().filter((strip) => strip.kind === "part")).map(({ id }) => id);
  folded.set({ groups: new Set(folded.get().groups.size > 0 ? [] : all) });
};

export const timelineActions = {
  laneCloser: {
    label: "Look closer at the frames",
    group: "Timeline",
    keys: ["."],
    when: hasStrips,
    perform: zoomAtPlayhead(CLOSER),
  },
  laneFurther: {
    label: "See more frames",
    group: "Timeline",
    keys: [","],
    when: isCloser,
    perform: zoomAtPlayhead(1 / CLOSER),
  },
  laneWhole: {
    label: "All frames on the timeline",
    group: "Timeline",
    keys: [";"],
    when: isCloser,
    perform: wholeLane,
  },
  laneRange: {
    label: "The range fills the timeline",
    group: "Timeline",
    keys: ["'"],
    when: hasRange,
    perform: () => {
      const { range } = view.get();
      if (range) showFrames(range.from, range.to);
    },
  },
  follow: {
    label: "Follow the playhead while playing",
    group: "Timeline",
    keys: ["l"],
    when: hasStrips,
    perform: () => reading.set({ follow: !reading.get().follow }),
  },
  unit: {
    label: "Lengths in mm or in px",
    group: "Timeline",
    keys: ["m"],
    when: () => strips().some((strip) => strip.pxPerMm !== null),
    perform: () => reading.set({ unit: reading.get().unit === "px" ? "mm" : "px" }),
  },
  axis: {
    label: "Axis in frames, timecode, feet, time of day",
    group: "Timeline",
    keys: ["a"],
    when: hasStrips,
    perform: nextAxis,
  },
  readHere: {
    label: "Read the chosen part at the playhead",
    group: "Timeline",
    keys: ["h"],
    when: hasStrips,
    perform: () => reading.set({ pinned: !reading.get().pinned }),
  },
  exact: {
    label: "Uncertainties in sentences",
    group: "Findings",
    keys: ["i"],
    when: () => view.get().flag !== null,
    perform: () => reading.set({ exact: !reading.get().exact }),
  },
  foldAll: {
    label: "Fold or unfold the groups of parts",
    group: "Timeline",
    keys: ["Shift+F"],
    when: () => groupsOf(strips().filter((strip) => strip.kind === "part")).length > 1,
    perform: foldAll,
  },
  rangeBack: {
    label: "Widen the range by a frame back",
    group: "Timeline",
    keys: ["<"],
    when: hasStrips,
    perform: () => widenRange(-1),
  },
  rangeOn: {
    label: "Widen the range by a frame on",
    group: "Timeline",
    keys: [">"],
    when: hasStrips,
    perform: () => widenRange(1),
  },
  rangeOfFlag: {
    label: "Range over the frames of the finding",
    group: "Timeline",
    keys: ["r"],
    when: () => view.get().flag !== null,
    perform: rangeOfFlag,
  },
  dropRange: {
    label: "Let go of the range",
    group: "Timeline",
    keys: ["Escape"],
    when: () => hasRange() && view.get().strip === null && !isChecking(),
    perform: dropRange,
  },
} satisfies Record<string, Action>;
