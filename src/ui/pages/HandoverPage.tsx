import { handover } from "../../reports/handover.ts";
import { titled } from "../../reports/words.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { verdictIn, verdicts } from "../state/verdicts.ts";
import { Paper } from "./Paper.tsx";

/** What whoever takes over has to know: anchors, joints that gave, what is open, what comes next. */
export function HandoverPage() {
  const report = useStore(session, (value) => value.report);
  const sheet = useStore(session, (value) => value.sheet);
  const judged = useStore(verdicts, (value) => value.judged);
  const joints = sheet?.parts.flatMap((part) => part.joints) ?? [];
  const page =
    report &&
    handover({
      report,
      verdictOf: verdictIn(judged),
      scaleOf: (id) =>
        sheet?.parts.find((part) => part.id === id)?.pxPerMm ?? sheet?.scale?.pxPerMm ?? report.shot.pxPerMm ?? null,
      jointName: (id) => joints.find((joint) => joint.id === id)?.name ?? id,
    });
  return (
    <Paper title="Handover">
      {page && (
        <>
          <dl className="paper-facts">
            <dt>Last frame</dt>
            <dd>
              {page.lastFrame}
              {page.time === null ? "" : `, taken ${page.time.replace("T", " at ")}`}
            </dd>
            <dt>Camera</dt>
            <dd>{page.camera}</dd>
            <dt>Light</dt>
            <dd>{page.light}</dd>
            <dt>Being animated</dt>
            <dd>{page.moving.length > 0 ? page.moving.join(", ") : "nothing, by the sheet"}</dd>
          </dl>
          {page.joints.length > 0 && (
            <section>
              <h2>Joints that gave</h2>
              <ul className="reasons">
                {page.joints.map(({ joint, words }) => (
                  <li key={joint}>
                    <strong>{joint}</strong>: {words}
                  </li>
                ))}
              </ul>
            </section>
          )}
          {page.open.length > 0 && (
            <section>
              <h2>Findings</h2>
              {page.open.map((one) => (
                <div key={one.flag} className="handover-finding">
                  <h3>
                    {one.title} <span className="question-word">{one.verdict}</span>
                  </h3>
                  <p>{one.message}</p>
                  {one.next.map((line) => (
                    <p key={line}>{line}</p>
                  ))}
                </div>
              ))}
            </section>
          )}
          <Lines title="Drifting, and still within the band" lines={page.watched} />
          <Lines title="Put right on purpose" lines={page.corrections} />
          <section>
            <h2>What holds, and against which frame</h2>
            {page.holds.length === 0 ? (
              <p>No part was measured in the last frame.</p>
            ) : (
              <table className="paper-table">
                <thead>
                  <tr>
                    <th scope="col">Part</th>
                    <th scope="col">Meant to</th>
                    <th scope="col">Anchor</th>
                    <th scope="col">Drift in the last frame</th>
                  </tr>
                </thead>
                <tbody>
                  {page.holds.map((hold) => (
                    <tr key={hold.part} className={hold.flagged ? "flagged" : ""}>
                      <th scope="row">
                        {hold.name}
                        {hold.puppet === null ? "" : `, ${titled(hold.puppet)}`}
                      </th>
                      <td>{hold.intent ?? "not said"}</td>
                      <td>frame {hold.anchor}</td>
                      <td>
                        {hold.drift}
                        {hold.flagged ? " (flagged)" : ""}
                      </td>
                    </tr>
                  ))}
                </tbody>
              </table>
            )}
          </section>
        </>
      )}
    </Paper>
  );
}

function Lines({ title, lines }: { readonly title: string; readonly lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <section>
      <h2>{title}</h2>
      <ul className="reasons">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}
