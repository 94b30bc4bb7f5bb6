import { useState } from "react";
import { Button } from "react-aria-components";
import type { Flag } from "../../model/index.ts";
import { cautions, cautionsDefer } from "../../workshop/cautions.ts";
import { recordOf, successRate } from "../../workshop/experience.ts";
import type { Fix } from "../../workshop/knowledge.ts";
import type { Question, RankedCause, Reason } from "../../workshop/rank.ts";
import { signWords } from "../../workshop/signs.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { addOutcome, moveCause, workshop } from "./workshop-state.ts";

const points = (value: number) => (value > 0 ? `+${value}` : `\u2212${-value}`);

function Reasons({ reasons }: { readonly reasons: readonly Reason[] }) {
  return (
    <ul className="cause-reasons">
      {reasons.map(({ sign, measured, why, points: weight }) => (
        <li key={sign} className={weight > 0 ? "for" : "against"}>
          <span className="cause-points">
            {points(weight)}
            <span className="unseen">{weight > 0 ? " for it" : " against it"}</span>
          </span>
          <span>
            {measured.charAt(0).toUpperCase()}
            {measured.slice(1)}: {why}.
          </span>
        </li>
      ))}
    </ul>
  );
}

const timeWords = ([low, high]: Fix["minutes"]) => {
  const unit = (minutes: number) => (minutes >= 120 ? `${Math.round(minutes / 30) / 2} h` : `${minutes} min`);
  if (low < 120 && high < 120) return low === high ? `${low} min of work` : `${low} to ${high} min of work`;
  return low === high ? unit(low) : `${unit(low)} to ${unit(high)} of work`;
};

/** One fix, and whether it stopped the drift. */
function FixCard({
  fix,
  question,
  flag,
  cause,
}: {
  readonly fix: Fix;
  readonly question: Question;
  readonly flag: Flag | null;
  readonly cause: string;
}) {
  const outcomes = useStore(workshop, (value) => value.own.outcomes);
  const record = recordOf(outcomes, fix.id, question.kind);
  const note = (stopped: boolean) => () => {
    const { report, shot } = session.get();
    addOutcome({
      fix: fix.id,
      cause,
      kind: question.kind,
      part: question.part,
      stopped,
      date: new Date().toISOString().slice(0, 10),
      puppet: report?.parts.find(({ id }) => id === flag?.part)?.puppet ?? null,
      shot: flag === null ? null : shot,
      frame: flag?.from ?? null,
      note: "",
    });
  };
  return (
    <section className="fix">
      <h4>{fix.title}</h4>
      <ol className="steps">
        {fix.steps.map((step) => (
          <li key={step}>{step}.</li>
        ))}
      </ol>
      <dl className="fix-facts">
        {fix.material.length > 0 && (
          <div>
            <dt>Material</dt>
            <dd>{fix.material.join(", ")}</dd>
          </div>
        )}
        {fix.tools.length > 0 && (
          <div>
            <dt>Tools</dt>
            <dd>{fix.tools.join(", ")}</dd>
          </div>
        )}
        <div>
          <dt>Time</dt>
          <dd>{timeWords(fix.minutes)}</dd>
        </div>
        <div className="wide">
          <dt>Performance</dt>
          <dd>{fix.performance}</dd>
        </div>
      </dl>
      <p className="record">
        <span>
          {record.tried === 0
            ? "Not tried here yet."
            : `Stopped the drift here ${record.stopped} of ${record.tried} times (counts as ${Math.round(100 * successRate(record))} %).`}
        </span>
        <Button className="button small" onPress={note(true)} aria-label={`${fix.title}: it stopped the drift`}>
          It stopped the drift
        </Button>
        <Button className="button small" onPress={note(false)} aria-label={`${fix.title}: it did not stop the drift`}>
          It did not
        </Button>
      </p>
    </section>
  );
}

function Body({
  ranked,
  question,
  flag,
}: {
  readonly ranked: RankedCause;
  readonly question: Question;
  readonly flag: Flag | null;
}) {
  const { cause, reasons, wouldTell, fixes } = ranked;
  const own = [...new Set([...cause.cautions, ...fixes.flatMap((fix) => fix.cautions)])];
  return (
    <div className="cause-body">
      <p>{cause.about}</p>
      {reasons.length > 0 && (
        <>
          <h3>What speaks for it, and against</h3>
          <Reasons reasons={reasons} />
        </>
      )}
      {wouldTell.length > 0 && (
        <p className="would-tell">
          Would tell more, not measured: whether {wouldTell.map((sign) => signWords[sign]).join("; ")}.
        </p>
      )}
      <h3>Bench test</h3>
      <ol className="steps">
        {cause.bench.steps.map((step) => (
          <li key={step}>{step}.</li>
        ))}
      </ol>
      <p>
        <strong>It is this if:</strong> {cause.bench.confirms}
      </p>
      <h3>{fixes.length === 1 ? "Fix" : "Fixes, the usual one first"}</h3>
      {fixes.map((fix) => (
        <FixCard key={fix.id} fix={fix} question={question} flag={flag} cause={cause.id} />
      ))}
      <h3>For the set, until then</h3>
      <p>{cause.stopgap}</p>
      <h3>So that it stays away</h3>
      <p>{cause.prevent}</p>
      {own.length > 0 && (
        <section className="cautions">
          <h3>Mind</h3>
          <ul>
            {own.map((id) => (
              <li key={id}>{cautions[id]}</li>
            ))}
          </ul>
          <p>{cautionsDefer}</p>
        </section>
      )}
      <p className="basis">Basis: {cause.basis}.</p>
    </div>
  );
}

/** A cause: its title and what weighs most; opened, all of it. */
export function CauseCard({
  ranked,
  place,
  shown,
  question,
  flag,
}: {
  readonly ranked: RankedCause;
  readonly place: number;
  /** Ids of the causes as they are shown. */
  readonly shown: readonly string[];
  readonly question: Question;
  readonly flag: Flag | null;
}) {
  const [isOpen, setOpen] = useState(place === 0);
  const { cause, reasons } = ranked;
  const move = (by: 1 | -1) => () => moveCause(question.kind, shown, cause.id, by);
  return (
    <li className={isOpen ? "cause open" : "cause"}>
      <div className="cause-head">
        <h2>
          <button type="button" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
            <svg width="12" height="12" viewBox="0 0 12 12" aria-hidden="true">
              <path d={isOpen ? "M2 4l4 4 4-4" : "M4 2l4 4-4 4"} />
            </svg>
            <span className="cause-place">{place + 1}</span>
            {cause.title}
          </button>
        </h2>
        <span className="cause-tools">
          <Button
            className="icon-button"
            isDisabled={place === 0}
            onPress={move(-1)}
            aria-label={`Look earlier for: ${cause.title}`}
          >
            <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
              <path d="M3 9l4-4 4 4" />
            </svg>
          </Button>
          <Button
            className="icon-button"
            isDisabled={place === shown.length - 1}
            onPress={move(1)}
            aria-label={`Look later for: ${cause.title}`}
          >
            <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
              <path d="M3 5l4 4 4-4" />
            </svg>
          </Button>
        </span>
      </div>
      {!isOpen && reasons.length > 0 && <Reasons reasons={reasons.slice(0, 2)} />}
      {isOpen && <Body ranked={ranked} question={question} flag={flag} />}
    </li>
  );
}
