import { nextFlag } from "../state/looking.ts";
import { session } from "../state/session.ts";
import { view } from "../state/view.ts";

export interface TourStep {
  readonly title: string;
  readonly text: string;
  /** Finds what the step is about; a step whose place isn't on the screen is left out. */
  readonly at: string;
  readonly side: "top" | "bottom" | "left" | "right";
  /** True for a place so large that the words stand in it, not beside it. */
  readonly inside?: boolean;
  /** Brings up what the step tells about. */
  readonly enter?: () => void;
}

const firstFlag = () => {
  if (view.get().flag === null && (session.get().strips?.flags.length ?? 0) > 0) nextFlag(1);
};

/** Places in the order in which an animator meets them. */
export const steps: readonly TourStep[] = [
  {
    title: "The answer",
    text: "Did anything move that nobody meant to move? The first line says so, in one sentence, with the smallest drift that this shot could have shown.",
    at: ".side .answer",
    side: "left",
  },
  {
    title: "The light table",
    text: "The frame as it was shot. Each outline is a part that is watched; what drifted has the signal colour. Wheel or pinch to come closer, drag to look around.",
    at: ".table",
    side: "right",
    inside: true,
  },
  {
    title: "The strips",
    text: "One strip for each part, frame by frame. The pale band is what the part is allowed, hatching is where it is animated, and the line is what it did. A ramp is a sag, a step is a knock.",
    at: ".timeline",
    side: "top",
  },
  {
    title: "The figure",
    text: "The shot's own puppet, drawn from its outlines. Point at a limb and its strip and its outline light up too.",
    at: ".timeline-figure",
    side: "right",
    enter: firstFlag,
  },
  {
    title: "The finding",
    text: "What drifted, by how much, since when, and about which joint it turned. Below stand the likely causes, the test at the bench that tells them apart, and the fix.",
    at: ".side .card",
    side: "left",
    enter: firstFlag,
  },
  {
    title: "The verdict",
    text: "Eight keys for what is to be done about it, always in the same place; with who says so and a note. Nothing is asked again until it grows.",
    at: ".side .desk",
    side: "left",
    enter: firstFlag,
  },
  {
    title: "Ways to look",
    text: "Flip between the anchor and this frame, lay both over each other, or see the difference. What is too small for the eye can be redrawn larger.",
    at: ".table .bar",
    side: "top",
  },
  {
    title: "All by keys",
    text: "One hand on the puppet, one on the keyboard: N for the next finding, arrows for frames, and this list for the rest.",
    at: ".header-tools",
    side: "bottom",
  },
];
