import { expose, type ProxyMarked, releaseProxy, type Remote } from "comlink";
import { createMeasurer } from "../../src/analysis/measurer.ts";
import type { FrameOutcome, MeasurePlan, Task } from "../../src/protocol/index.ts";
import { openWorkspace } from "../kernels.ts";
import { pageOpener } from "./opener.ts";

// Calls may come before the kernels are there, and one that nobody listens for is lost: they wait for this instead.
const ready = openWorkspace().then((workspace) => createMeasurer(pageOpener(), workspace));

type Listener = ((outcome: FrameOutcome) => void) & ProxyMarked;

expose({
  async plan(plan: MeasurePlan) {
    return (await ready).plan(plan);
  },
  async run(task: Task, onOutcome: Remote<Listener>) {
    // Outcomes travel by a port of their own: the answer must not overtake them.
    const told: Promise<void>[] = [];
    try {
      const answer = await (await ready).run(task, (outcome) => void told.push(onOutcome(outcome)));
      await Promise.all(told);
      return answer;
    } finally {
      onOutcome[releaseProxy]();
    }
  },
});
