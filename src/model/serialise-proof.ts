import { writeJson } from "./json.ts";
import type { PartProof, Proof } from "./proof.ts";
import { tidy } from "./tidy.ts";

const WIDTH = 120;
/** A frame of a part is one line. */
const DEPTH = 4;

const partOut = ({ part, name, kind, anchor, from, to, put, bandPx, ownDriftTakenOff, ...rest }: PartProof) => {
  const { message, cameBack, flag, smallest, tried, frames, ...others } = rest;
  return {
    part,
    name,
    kind,
    message,
    anchor,
    from,
    to,
    put,
    bandPx,
    ownDriftTakenOff,
    cameBack,
    flag,
    smallest,
    tried,
    frames,
    ...others,
  };
};

/** The text of a proof file. Numbers are rounded as in a report; keys stand in one order, additions after them. */
export const serialiseProof = (proof: Proof): string => {
  const { format, version, shot, made, parts, notProved, ...others } = proof;
  return writeJson(
    tidy({ format, version, shot, made, parts: parts.map(partOut), notProved, ...others }),
    WIDTH,
    DEPTH,
  );
};
