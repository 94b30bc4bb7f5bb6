import { Button } from "react-aria-components";
import { safeToStrike, type Standing, type StrikeLine } from "../../reports/safe-to-strike.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { verdictIn, verdicts } from "../state/verdicts.ts";
import { Paper } from "./Paper.tsx";
import { addPass, addPlates, passesBeside, plates, platesNow } from "./plates.ts";

const words: Readonly<Record<Standing, string>> = { yes: "Yes", no: "No", unknown: "Not shown" };

/** May the set go? One page of questions, those that are open first. */
export function StrikePage() {
  const report = useStore(session, (value) => value.report);
  const sheet = useStore(session, (value) => value.sheet);
  const judged = useStore(verdicts, (value) => value.judged);
  const files = useStore(session, (value) => value.files);
  useStore(plates, (value) => value);
  const now = platesNow();
  const strike =
    report &&
    safeToStrike({
      report,
      verdictOf: verdictIn(judged),
      passes: [...passesBeside(), ...now.passes],
      plates: now.plates,
      cameraMoves: sheet?.camera.some(({ intent }) => intent === "moves") ?? false,
    });
  return (
    <Paper
      title="Safe to strike?"
      tools={
        files && (
          <>
            <Button className="button" onPress={() => void addPass()}>
              Add a pass
            </Button>
            <Button className="button" isDisabled={now.measuring !== null} onPress={() => void addPlates()}>
              {now.measuring === null ? "Add plates" : "Measuring the plates…"}
            </Button>
          </>
        )
      }
    >
      {strike && (
        <>
          <p className={strike.ready ? "paper-answer" : "paper-answer open"} aria-live="polite">
            {strike.answer}
          </p>
          <ol className="questions">
            {strike.lines.map((line) => (
              <Question key={line.id} line={line} />
            ))}
          </ol>
          <p className="paper-foot">
            This page tells what the pictures can tell. Whether the set may go is the production&#8217;s decision.
            Switch lamps off at the mains, let them cool, and strike by the studio&#8217;s own rules.
          </p>
        </>
      )}
    </Paper>
  );
}

function Question({ line }: { readonly line: StrikeLine }) {
  return (
    <li className={`question ${line.standing}`}>
      <Sign standing={line.standing} />
      <div>
        <h2>
          {line.question} <span className="question-word">{words[line.standing]}</span>
        </h2>
        <p>{line.answer}</p>
        {line.details.length > 0 && (
          <ul className="reasons">
            {line.details.map((detail) => (
              <li key={detail}>{detail}</li>
            ))}
          </ul>
        )}
      </div>
    </li>
  );
}

/** A level line for a yes, a broken one for a no, a dotted one where nothing was shown. */
function Sign({ standing }: { readonly standing: Standing }) {
  return (
    <svg className="question-sign" width="36" height="22" viewBox="0 0 36 22" aria-hidden="true">
      <rect x="0" y="5" width="36" height="12" rx="2" />
      {standing === "yes" && <path d="M4 11h28" />}
      {standing === "no" && <path d="M4 11h11l6 8h11" />}
      {standing === "unknown" && <path d="M4 11h28" strokeDasharray="1 6" />}
    </svg>
  );
}
