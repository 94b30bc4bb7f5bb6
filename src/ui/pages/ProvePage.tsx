import { Button } from "react-aria-components";
import type { PartProof, Proof } from "../../model/index.ts";
import { proofHeadline } from "../../reports/proof-summary.ts";
import { duration, fixed, measured } from "../../reports/words.ts";
import { openShot } from "../state/checking.ts";
import { cancelProof, proving, saveProof, startProof } from "../state/proving.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { together } from "../words/together.ts";
import { Paper } from "./Paper.tsx";
import { ProofDrawing } from "./ProofDrawing.tsx";

/** What a known drift, put into the shot's own frames, comes back as. */
export function ProvePage() {
  const { phase, proof, cancelled, why, sheet } = useStore(proving, (value) => value);
  const checked = useStore(session, (value) => value.phase);
  const files = useStore(session, (value) => value.files);
  // A change of the sheet since then changes the parts: the proof is of what they were.
  const isOld = proof !== null && (openShot()?.sheet?.sha256 ?? null) !== sheet;
  return (
    <Paper
      title="Prove it on this shot"
      printable={proof !== null}
      tools={
        proof && (
          <Button className="button" onPress={saveProof}>
            Save the proof
          </Button>
        )
      }
    >
      {phase === "proving" ? (
        <Progress />
      ) : (
        <>
          {proof === null && (
            <p className="paper-lead">
              Known drifts are put into copies of your own frames, in memory, and measured like any other frame: what
              comes back shows how far the answers about this shot can be trusted, and the smallest drift that each part
              could have shown. No file is touched.
            </p>
          )}
          {cancelled && <p>Cancelled before it was through: nothing is proved yet.</p>}
          {phase === "failed" && (
            <div role="alert">
              <p>The proof stopped.</p>
              {why.split("\n").map((line) => (
                <p key={line}>{line}</p>
              ))}
            </div>
          )}
          {proof && <Result proof={proof} />}
          {isOld && <p>The sheet was changed since then: this is a proof of the parts as they were.</p>}
          {files === null ? (
            <p>This report was opened without its frames. Open the folder of the shot to prove it.</p>
          ) : (
            <p>
              <Button className="button strong" isDisabled={checked !== "checked"} onPress={startProof}>
                {proof ? "Prove it again" : "Prove it"}
              </Button>
              {checked === "checking" && " The check has to be through first."}
            </p>
          )}
        </>
      )}
    </Paper>
  );
}

const steps = {
  inspect: "Reading the frames",
  measure: "Measuring the frames as they are",
  prove: "Measuring them with known drifts put in",
};

function Progress() {
  const { step, done, total, secondsLeft } = useStore(proving, (value) => value);
  const share = total === 0 ? 0 : done / total;
  return (
    <div className="progress-block">
      <div
        className="progress"
        role="progressbar"
        aria-label="Proof"
        aria-valuemin={0}
        aria-valuemax={100}
        aria-valuenow={Math.round(100 * share)}
        aria-valuetext={`${steps[step]}, ${done} of ${total}`}
      >
        <div style={{ transform: `scaleX(${share})` }} />
      </div>
      <p aria-live="polite">{steps[step]}</p>
      <p>
        {done} of {total} measurements
        {secondsLeft === null ? "" : `, about ${duration(secondsLeft)} left`}. You can go on working meanwhile.
      </p>
      <Button className="button" onPress={cancelProof}>
        Cancel the proof
      </Button>
    </div>
  );
}

function Result({ proof }: { readonly proof: Proof }) {
  return (
    <>
      <p className={`paper-answer${proof.parts.some((part) => !part.cameBack.proved) ? " open" : ""}`}>
        {proofHeadline(proof)}
      </p>
      <div className="proofs">
        {proof.parts.map((part) => (
          <PartResult key={part.part} part={part} />
        ))}
      </div>
      {proof.notProved.length > 0 && (
        <section>
          <h2>Where it can’t be told</h2>
          <ul className="reasons">
            {proof.notProved.map(({ part, name, reason }) => (
              <li key={part}>
                <strong>{name}</strong>: {reason}.
              </li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}

function PartResult({ part }: { readonly part: PartProof }) {
  const { put, cameBack, smallest, flag, from, to } = part;
  const off = cameBack.px - put.px;
  return (
    <section className="proof" aria-label={part.name}>
      <h2>
        {part.name}
        <span className={cameBack.proved ? "proof-word" : "proof-word wrong"}>
          {cameBack.proved ? "came back" : "did not come back"}
        </span>
      </h2>
      <ProofDrawing part={part} />
      <dl className="facts">
        <div>
          <dt>
            Put in, frame {from} to {to}
          </dt>
          <dd>{fixed(put.px, 3)} px</dd>
        </div>
        <div>
          <dt>Came back</dt>
          <dd>{together(measured(cameBack.px, cameBack.sigma, "px"))}</dd>
        </div>
        <div>
          <dt>Difference</dt>
          <dd>
            {together(measured(off, cameBack.sigma, "px"))}
            {cameBack.sigma > 0 ? `, ${fixed(Math.abs(off) / cameBack.sigma, 1)} sigma` : ""}
          </dd>
        </div>
        <div>
          <dt>Smallest that shows</dt>
          <dd>
            {smallest === null
              ? `none of up to ${fixed(put.px, 2)} px`
              : together(
                  `${measured(smallest.px, smallest.sigma, "px")}${smallest.notSeenPx === null ? "" : `; ${fixed(smallest.notSeenPx, 3)} px does not`}`,
                )}
          </dd>
        </div>
      </dl>
      <p className="proof-message">{together(part.message)}</p>
      {flag === null && <p className="proof-message">With the bands as they are it raised no flag.</p>}
    </section>
  );
}
