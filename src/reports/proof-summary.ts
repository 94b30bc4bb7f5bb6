import type { PartProof, Proof } from "../model/index.ts";
import { counted, fixed, measured } from "./words.ts";

/** The answer of a proof in one sentence. */
export const proofHeadline = ({ parts, shot }: Proof): string => {
  const where = `${counted(shot.frames.length, "frame")} of ${shot.name}`;
  if (parts.length === 0) return `Nothing was proved in ${where}: there is no part that a drift could be put into.`;
  const wrong = parts.filter(({ cameBack }) => !cameBack.proved).length;
  if (wrong === 0) return `What was put into ${counted(parts.length, "part")} came back as it was put in, in ${where}.`;
  return `What was put into ${wrong} of ${counted(parts.length, "part")} did not come back as it was put in, in ${where}.`;
};

const flagFact = ({ flag, from }: PartProof): string => {
  if (flag === null) return "no flag";
  const size = flag.px === null ? "" : `, ${measured(flag.px, flag.sigma, "px")}`;
  return `flag from frame ${flag.from}${flag.from === from ? "" : ` (put in from ${from})`}${size}`;
};

const partLines = (part: PartProof): string[] => {
  const { cameBack, smallest } = part;
  const facts = [
    `bias ${fixed(cameBack.biasPx, 4)} px`,
    `RMS ${fixed(cameBack.rmsPx, 4)} px`,
    `z ${fixed(cameBack.z, 2)}`,
    flagFact(part),
    ...(smallest?.notSeenPx == null ? [] : [`${fixed(smallest.notSeenPx, 3)} px is not seen`]),
  ];
  return ["", `* ${part.message}`, `  ${facts.join("; ")}`];
};

/** A proof for people, as plain lines: the answer first, then each part, then what nothing was put into and why. */
export const proofSummary = (proof: Proof): string => {
  const left = proof.notProved.map(({ name, reason }) => `* ${name}: ${reason}`);
  const lines = [
    proofHeadline(proof),
    ...proof.parts.flatMap(partLines),
    ...(left.length > 0 ? ["", "Nothing was put into:", ...left] : []),
  ];
  return `${lines.join("\n")}\n`;
};
