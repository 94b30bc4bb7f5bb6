import { polygonArea } from "../../model/geometry.ts";
import type { JointAnswer } from "../joint.ts";
import type { JudgeInput } from "../series.ts";
import type { PartDrift } from "./evidence/part-drift.ts";
import { displacementAt, type MovedSurface, type Point } from "./evidence/rigid.ts";
import type { Finding } from "./kind.ts";
import { besideWords, carriedWords, jointOf, jointWords, partFinding, perMinute, sizeWords } from "./part-finding.ts";
import { whatNext } from "./what-next.ts";
import { capital } from "./words.ts";

// What sag and spring-back share: a held part of a puppet that drifts slowly.

/** Sideways, where the drift goes along gravity by less than this share of it: the sine of 20 degrees. */
const SIDEWAYS = 0.34;

export const SLOW_STATISTIC =
  "slow drift with a free intercept (line, bends, exponential approach: the best by evidence) over its standard error, Hotelling's T over dx, dy and turn; Mann-Kendall agrees";
export const SLOW_SOURCE =
  "Hotelling 1931, Schwarz 1978 (choice of the law), Mann 1945 and Kendall 1975; thresholds by null simulation";

function centreOf({ outline, motion }: MovedSurface): { readonly area: number; readonly at: Point } {
  return { area: Math.max(1e-9, Math.abs(polygonArea(outline))), at: motion.centre };
}

/** How far the centre of mass of the part and all it carries went along gravity, px: by mass where all are known, else by area. */
export function loweredBy({ part, carried, surfaces }: PartDrift, down: Point): number {
  const masses = [part, ...carried.map((one) => one.part)].map(({ massGrams }) => massGrams);
  const known = masses.every((mass) => mass !== null);
  let [sum, whole] = [0, 0];
  surfaces.forEach((surface, i) => {
    const { area, at } = centreOf(surface);
    const weight = known ? (masses[i] ?? 0) : area;
    const [x, y] = displacementAt(surface.motion, at);
    sum += weight * (x * down[0] + y * down[1]);
    whole += weight;
  });
  return sum / whole;
}

export const isSlow = ({ event }: PartDrift): boolean => event.family === "slow";

/** True where the drift goes neither up nor down to speak of. */
function isSideways({ largest }: PartDrift, { down }: JudgeInput): boolean {
  return Math.abs(largest.direction[0] * down[0] + largest.direction[1] * down[1]) < SIDEWAYS;
}

/** "from frame 7 to 24" */
export const spanWords = ({ event }: PartDrift): string => `from frame ${event.from} to ${event.to}`;

/** What is said of the joint: its name, or why there is none to tell where some are marked. */
const untoldWords = ({ reason }: JointAnswer, { hold }: PartDrift): string =>
  reason === "" || hold.joints.length === 0 ? "" : `; joint not told: ${reason}`;

/** @param verb what the part did, where it did not rather slide sideways */
export function slowFinding(kind: "sag" | "spring-back", verb: string, drift: PartDrift, input: JudgeInput): Finding {
  const joint = jointOf(drift, input);
  const did = isSideways(drift, input) ? "slid sideways" : verb;
  const size = `${sizeWords(drift, input)}${besideWords(drift)}`;
  const message = `${capital(drift.part.name)} ${did} ${size} ${spanWords(drift)}${jointWords(joint)}${carriedWords(drift)}${untoldWords(joint, drift)}.`;
  return {
    ...partFinding(kind, drift, input, { message, joint, perMinutePx: perMinute(drift, input) }),
    ...whatNext(drift, input),
  };
}
