import { flagKindLabels, type PartProof } from "../../model/index.ts";
import { pxWords, withArticle } from "../kinds/words.ts";

const plain = (px: number): string => `${px.toFixed(px < 0.1 ? 3 : 2)} px`;

function flagWords({ flag, put }: Told, jointName: (id: string) => string): string {
  if (flag === null) return "but it was not flagged";
  const kind = flagKindLabels[flag.kind].toLowerCase();
  if (!flag.rightKind) return `but it was flagged as a ${kind}`;
  const joint = flag.joint === null ? "" : ` about ${withArticle(jointName(flag.joint))}`;
  if (put.joint === null || flag.rightJoint === true) return `flagged as a ${kind}${joint}`;
  const wrong =
    flag.joint === null
      ? ", its joint not told"
      : `${joint}, though it turned about ${withArticle(jointName(put.joint))}`;
  return `flagged as a ${kind}${wrong}`;
}

function smallestWords({ smallest, put }: Told): string {
  if (smallest === null) return `Even with the band opened none of up to ${plain(put.px)} is flagged on it.`;
  return `The smallest one that this shot can show on it is ${pxWords(smallest.px, smallest.sigma)}.`;
}

type Told = Omit<PartProof, "message">;

/** The sentences of one part. `noun` is what was put in: "sag", "shift". */
export function proofWords(told: Told, noun: string, jointName: (id: string) => string): string {
  const { cameBack, put, from, to } = told;
  const back = `it came back as ${pxWords(cameBack.px, cameBack.sigma)}${cameBack.proved ? "" : ", which is wrong"}`;
  const own = told.ownDriftTakenOff ? " What it drifted by itself was taken off first." : "";
  return (
    `Into ${withArticle(told.name)} a ${noun} of ${plain(put.px)} was put, frame ${from} to ${to}; ${back}, ` +
    `${flagWords(told, jointName)}.${own} ${smallestWords(told)}`
  );
}
