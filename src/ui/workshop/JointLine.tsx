import { Button } from "react-aria-components";
import type { Flag, Report, Sheet } from "../../model/index.ts";
import { chainFaults } from "../../workshop/joint-load/chain.ts";
import { loadsByFrame, worstFrame } from "../../workshop/joint-load/poses.ts";
import { useStore } from "../state/store.ts";
import { useWords } from "./fields.tsx";
import { chainOfFlag, linkOfFlag } from "./load-state.ts";
import { workshop } from "./workshop-state.ts";

/** What the joint of a flag bears, in one sentence, with the way to the sum. */
export function JointLine({
  flag,
  report,
  sheet,
}: {
  readonly flag: Flag;
  readonly report: Report;
  readonly sheet: Sheet | null;
}) {
  const fields = useStore(workshop, (value) => value.fields);
  const words = useWords();
  if (flag.part === null || !["sag", "spring-back"].includes(flag.kind)) return null;
  const answer = chainOfFlag(flag, sheet, fields);
  if ("why" in answer) return <p className="joint-line">The joint's load is not told. {answer.why}</p>;
  const link = linkOfFlag(flag, answer.chain);
  if (link === null || chainFaults(answer.chain).length > 0) return null;
  const worst = worstFrame(loadsByFrame(answer.chain, report), link.id);
  return (
    <p className="joint-line">
      {worst === null || worst.load.momentNmm === null
        ? `The load on the ${link.joint?.name.toLowerCase() ?? link.name} is not told: some weights are missing. `
        : `The ${link.joint?.name.toLowerCase() ?? link.name} bears ${words(worst.load.momentNmm.value, "moment", worst.load.momentNmm.sigma)}: ${words(worst.load.beyondGrams ?? 0, "mass")}, ${words(worst.load.armMm ?? 0, "length")} out. `}
      <Button className="link" onPress={() => workshop.set({ tab: "load" })}>
        Do the sum
      </Button>
    </p>
  );
}
