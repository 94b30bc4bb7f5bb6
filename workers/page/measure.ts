import { expose, type ProxyMarked, releaseProxy, type Remote } from "comlink";
import { createMeasurer } from "../../src/analysis/measurer.ts";
import type { FrameOutcome, Task } from "../../src/protocol/index.ts";
import { pageOpener } from "./opener.ts";

const measurer = createMeasurer(pageOpener());

type Listener = ((outcome: FrameOutcome) => void) & ProxyMarked;

expose({
  plan: measurer.plan,
  async run(task: Task, onOutcome: Remote<Listener>) {
    // Outcomes travel by a port of their own: the answer must not overtake them.
    const told: Promise<void>[] = [];
    try {
      const answer = await measurer.run(task, (outcome) => void told.push(onOutcome(outcome)));
      await Promise.all(told);
      return answer;
    } finally {
      onOutcome[releaseProxy]();
    }
  },
});
