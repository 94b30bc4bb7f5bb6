import { useEffect, useMemo, useState } from "react";
import { flagKindLabels } from "../../model/index.ts";
import type { Finding } from "../../reports/dailies/dailies.ts";
import { departmentLabels } from "../../reports/dailies/department.ts";
import { driftDrawing } from "../../reports/dailies/drift-drawing.ts";
import type { FindingPictures } from "../../reports/dailies/html.ts";
import { ownerOf, verdictWords } from "../../reports/dailies/sentences.ts";
import type { DailiesSource } from "../../reports/dailies/dailies.ts";
import { stretch } from "../../reports/dailies/span.ts";
import { sizesBeside } from "../../reports/flag-size.ts";
import { Mark } from "../marks/Mark.tsx";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { together } from "../words/together.ts";
import { DriftPicture } from "./DriftPicture.tsx";
import { picturesOfFinding } from "./finding-pictures.ts";

/** One finding of the notes. */
export function FindingCard({ finding, source }: { readonly finding: Finding; readonly source: DailiesSource }) {
  const { flag, span, verdict, state, grown, department } = finding;
  const { report, id } = source;
  const drawing = useMemo(() => driftDrawing(report, flag), [report, flag]);
  const [pictures, setPictures] = useState<FindingPictures | null>(null);
  const hasFrames = useStore(session, (value) => value.id === id && value.files !== null);
  useEffect(() => {
    let here = true;
    void picturesOfFinding(id, report, flag).then((found) => here && setPictures(found));
    return () => {
      here = false;
    };
  }, [id, report, flag, hasFrames]);
  const owner = ownerOf(finding);
  return (
    <article className="daily-note" aria-label={flag.message}>
      <DriftPicture drawing={drawing} pictures={pictures} words={flag.message} />
      <div className="daily-text">
        <p className="daily-kind">
          <Mark kind={flag.kind} />
          {flagKindLabels[flag.kind]}
          {owner !== "" && <span>{owner}</span>}
        </p>
        <p>{together(flag.message)}</p>
        {sizesBeside(flag).map((size) => (
          <p key={size} className="daily-size">
            {together(size)}
          </p>
        ))}
      </div>
      <dl className="daily-where">
        <dt>Frames</dt>
        <dd>{stretch([span.from, span.to])}</dd>
        <dt>Timecode</dt>
        <dd>{span.timecode === null ? "none at this rate" : stretch(span.timecode)}</dd>
        <dt>Feet</dt>
        <dd>{stretch(span.feet)}</dd>
      </dl>
      <div className="daily-verdict">
        <p className={state === "open" ? "verdict-word open" : "verdict-word"}>{verdictWords(state)}</p>
        {verdict !== null && (
          <p>
            {grown && `It has grown since “${verdictWords(verdict.choice)}”. `}
            {verdict.note}
            {verdict.who !== "" && <span> {verdict.who}</span>}
          </p>
        )}
        <p className="daily-department">{departmentLabels[department]}</p>
      </div>
    </article>
  );
}
