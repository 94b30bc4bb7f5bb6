import { useEffect, useRef } from "react";
import type { Flag } from "../../model/index.ts";
import { plainSentence } from "../../reports/plain-sentence.ts";
import { reading } from "../state/reading.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { type Strip, stripOfFlag, type Strips } from "../strips/strips.ts";
import { fixed, measured } from "../../reports/words.ts";
import { inSentence } from "../words/in-sentence.ts";
import { together } from "../words/together.ts";
import { way } from "../words/way.ts";
import { verdicts } from "../state/verdicts.ts";
import { FlagCauses } from "../workshop/FlagCauses.tsx";
import { ComesNext } from "./ComesNext.tsx";
import { comingOf } from "./coming.ts";
import { Trace } from "./Trace.tsx";

interface Fact {
  readonly name: string;
  readonly value: string;
}

function factsOf(flag: Flag, jointName: (id: string) => string, partName: (id: string) => string): readonly Fact[] {
  const facts: Fact[] = [];
  if (flag.px !== null) {
    facts.push({
      name: flag.kind === "stray" ? "Across" : "Size",
      value: `${measured(flag.px, flag.sigma, "px")}${flag.mm === null ? "" : ` (${measured(flag.mm, flag.sigma === null ? null : (flag.sigma * flag.mm) / flag.px, "mm")})`}`,
    });
  }
  if (flag.stops !== null) facts.push({ name: "Size", value: measured(flag.stops, flag.sigma, "stops") });
  facts.push({ name: "Frames", value: flag.from === flag.to ? `${flag.from}` : `${flag.from} to ${flag.to}` });
  if (flag.direction !== null) facts.push({ name: "Direction", value: way(flag.direction) });
  if (flag.perMinutePx !== null)
    facts.push({ name: "Speed", value: `${perMinute(flag.perMinutePx, flag.perMinuteSigma ?? null)} a minute` });
  if (flag.joint !== null) {
    const joints = [flag.joint, ...(flag.alsoJoints ?? [])].map(jointName);
    facts.push({ name: "Joint", value: joints.length === 1 ? joints[0] : `${joints.join(" or ")}: both fit` });
  } else if (flag.kind === "sag" || flag.kind === "spring-back")
    facts.push({ name: "Joint", value: "not told by this drift" });
  if (flag.carries.length > 0) facts.push({ name: "Carried along", value: flag.carries.map(partName).join(", ") });
  facts.push({ name: "Score", value: `${fixed(flag.score, 1)}, where 1 is sure` });
  return facts;
}

/** Always three decimals: speeds are small. */
const perMinute = (value: number, sigma: number | null) =>
  `${fixed(value, 3)}${sigma === null ? "" : ` ± ${fixed(Math.max(sigma, 0.001), 3)}`} px`;

/** An id as a name, where the file has none: "shoulder-left" becomes "left shoulder". */
const readable = (id: string) => id.replace(/[-_]/gu, " ").replace(/^(.+) (left|right)$/u, "$2 $1");

/** The flag's own course, all else that happened to the part taken out; null where the report has none. */
function courseOf(flag: Flag, strips: Strips): Pick<Strip, "value" | "sigma" | "direction"> | null {
  if (flag.course === undefined || flag.course.length === 0 || flag.direction === null) return null;
  const none = () => new Float64Array(strips.frames.length).fill(Number.NaN);
  const [value, sigma] = [none(), none()];
  for (const point of flag.course) {
    const index = strips.indexOf.get(point.frame);
    if (index === undefined) continue;
    value[index] = point.px;
    sigma[index] = point.sigma ?? Number.NaN;
  }
  return { value, sigma, direction: flag.direction };
}

/** One finding: a plain sentence first, then its trace, then its numbers. */
export function FlagCard({ flag, strips }: { readonly flag: Flag; readonly strips: Strips }) {
  const report = useStore(session, (value) => value.report);
  const exact = useStore(reading, (value) => value.exact);
  const sentence = useRef<HTMLHeadingElement>(null);
  const judged = useStore(verdicts, (value) => value.judged.get(flag.id)?.verdict.id);
  // However many findings stand above it, the sentence is in sight when another one is chosen, and when it is judged.
  useEffect(() => {
    sentence.current?.scrollIntoView({ block: "nearest" });
  }, [flag.id, judged]);
  const sheet = useStore(session, (value) => value.sheet);
  const strip = strips.strips.find((each) => each.id === stripOfFlag(flag));
  // The sentence tells of the farthest point of all that drifted together: so does its trace.
  const far = strip?.told === "left-over" ? undefined : strip?.far.find((each) => each.flag.id === flag.id);
  const course = strip?.told === "drift" || strip?.told === "left-over" ? courseOf(flag, strips) : null;
  const jointName = (id: string) =>
    sheet?.parts.flatMap((part) => part.joints).find((joint) => joint.id === id)?.name ?? readable(id);
  const partName = (id: string) => report?.parts.find((part) => part.id === id)?.name ?? readable(id);
  return (
    <article className="card" aria-label="Finding">
      <h2 ref={sentence}>
        {together(report ? plainSentence(flag, report, { part: partName, joint: jointName }, exact) : flag.message)}
      </h2>
      {report && <FlagCauses flag={flag} report={report} />}
      {strip && strip.kind !== "picture" && (
        <>
          <Trace
            strip={{ ...strip, ...far, ...course }}
            frames={strips.frames}
            flag={flag}
            coming={comingOf(flag, report)}
          />
          <p className="trace-words">
            {strip.unit === "stops"
              ? "Light, stops, by frame"
              : strip.kind === "camera"
                ? "Shift of the picture, px, by frame"
                : strip.told === "left-over"
                  ? course !== null
                    ? "This slip alone, px, by frame, where it went farthest"
                    : "What is left over on the surface, px, by frame"
                  : course !== null
                    ? `This drift alone, px, by frame, where it went farthest${flag.besideCarrier === undefined ? "" : `; beside the ${inSentence(partName(flag.besideCarrier))}, which moved too`}`
                    : `Drift, px, by frame, ${far && far.part !== strip.id ? `at the far end of the ${inSentence(far.name)}` : "where it moved most"}`}
            ; grey: band of ±{fixed(strip.band, strip.unit === "px" ? 2 : 3)} {strip.unit}
            {strip.unit === "px" ? "; pale edge: 1 sigma" : ""}
            {comingOf(flag, report) ? "; dashed: the law that it follows, and what comes next" : ""}
          </p>
        </>
      )}
      <dl className="facts">
        {factsOf(flag, jointName, partName).map(({ name, value }) => (
          <div key={name} className={value.length > 24 ? "wide" : undefined}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      <ComesNext flag={flag} />
    </article>
  );
}
