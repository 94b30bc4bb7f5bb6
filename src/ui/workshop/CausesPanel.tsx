import { useMemo } from "react";
import { Button } from "react-aria-components";
import { builds, everyPartKind, type Flag, flagKindLabels, flagKinds } from "../../model/index.ts";
import { Mark } from "../marks/Mark.tsx";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { cautions, cautionsDefer } from "../../workshop/cautions.ts";
import { CauseCard } from "./CauseCard.tsx";
import { together } from "../words/together.ts";
import { Choice } from "./fields.tsx";
import { JointLine } from "./JointLine.tsx";
import { questionOf, questionWords, ranked } from "./question.ts";
import { asBuild, asKind, asPart, workshop } from "./workshop-state.ts";

const capital = (text: string) => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;

const subjectWithoutPart = ({ kind }: Flag) =>
  kind === "camera-shift" ? "Camera" : kind === "light" ? "Light" : kind === "set-shift" ? "The set" : "The frame";

/** Which finding is asked about: those of the shot, or one by hand. */
function Asked({ flag }: { readonly flag: Flag | null }) {
  const report = useStore(session, (value) => value.report);
  const { kind, part, build } = useStore(workshop, (value) => value);
  const flags = report?.flags ?? [];
  return (
    <section className="asked" aria-label="What to look up">
      {flags.length > 0 && (
        <ul className="asked-list" aria-label="Findings of the shot">
          {flags.map((each) => (
            <li key={each.id}>
              <button
                type="button"
                className={each.id === flag?.id ? "finding chosen" : "finding"}
                aria-pressed={each.id === flag?.id}
                onClick={() => workshop.set({ flag: each.id })}
              >
                <Mark kind={each.kind} />
                <span className="finding-what">
                  {report?.parts.find(({ id }) => id === each.part)?.name ?? subjectWithoutPart(each)}
                  <small>
                    {flagKindLabels[each.kind]}, from frame {each.from}
                  </small>
                </span>
              </button>
            </li>
          ))}
          <li>
            <button
              type="button"
              className={flag === null ? "finding bare chosen" : "finding bare"}
              aria-pressed={flag === null}
              onClick={() => workshop.set({ flag: null })}
            >
              <span className="finding-what">Look up by hand</span>
            </button>
          </li>
        </ul>
      )}
      {flag === null && (
        <div className="asked-fields">
          <Choice
            label="What it does"
            value={kind}
            options={flagKinds.map((each) => [each, capital(flagKindLabels[each])])}
            onChange={(value) => workshop.set({ kind: asKind(value) })}
          />
          <Choice
            label="What it is"
            value={part ?? ""}
            options={[["", "The whole frame"], ...everyPartKind.map((each) => [each, capital(each)] as const)]}
            onChange={(value) => workshop.set({ part: asPart(value) })}
          />
          <Choice
            label="How it is built"
            value={build ?? ""}
            options={[
              ["", "Not known"],
              ...builds.map((each) => [each, { ball: "Ball joints", wire: "Wire", other: "Otherwise" }[each]] as const),
            ]}
            onChange={(value) => workshop.set({ build: asBuild(value) })}
          />
        </div>
      )}
    </section>
  );
}

/** Causes in the order in which to look, with their reasons; what is ruled out stands below. */
export function CausesPanel() {
  const report = useStore(session, (value) => value.report);
  const sheet = useStore(session, (value) => value.sheet);
  const { flag: chosen, kind, part, build, own } = useStore(workshop, (value) => value);
  const flag = report?.flags.find(({ id }) => id === chosen) ?? null;
  const question = useMemo(
    () => (flag !== null && report !== null ? questionOf(flag, report, sheet) : { kind, part, build, signs: {} }),
    [flag, report, sheet, kind, part, build],
  );
  const ranking = useMemo(() => ranked(question, own), [question, own]);
  const shown = ranking.ranked.map(({ cause }) => cause.id);
  const all = new Set(
    ranking.ranked.flatMap(({ cause, fixes }) => [...cause.cautions, ...fixes.flatMap((fix) => fix.cautions)]),
  );
  return (
    <div className="causes-panel">
      <Asked flag={flag} />
      <article className="causes-card printed" aria-label="Causes and fixes">
        <header>
          <h1>{flag === null ? questionWords(question) : together(flag.message)}</h1>
          {flag !== null && report !== null && <JointLine flag={flag} report={report} sheet={sheet} />}
          <p>
            {ranking.ranked.length === 0
              ? "The workshop knows no cause for this. Add your own under Own knowledge."
              : flag === null
                ? "In the order in which they are usual. From a finding, what was measured reorders them."
                : "In the order in which to look: how usual each is, and what was measured. The points give an order, not odds."}
          </p>
        </header>
        <ol className="cause-list">
          {ranking.ranked.map((each, place) => (
            <CauseCard
              key={`${flag?.id ?? ""}${each.cause.id}`}
              ranked={each}
              place={place}
              shown={shown}
              question={question}
              flag={flag}
            />
          ))}
        </ol>
        {ranking.ruledOut.length > 0 && (
          <section className="ruled-out">
            <h2>Ruled out</h2>
            <ul>
              {ranking.ruledOut.map(({ cause, why }) => (
                <li key={cause.id}>
                  <s>{cause.title}</s>
                  <span>{why}</span>
                </li>
              ))}
            </ul>
          </section>
        )}
        {all.size > 0 && (
          <section className="cautions" aria-label="Cautions">
            <h2>Mind</h2>
            <ul>
              {[...all].sort().map((id) => (
                <li key={id}>{cautions[id]}</li>
              ))}
            </ul>
            <p>{cautionsDefer}</p>
          </section>
        )}
        <p className="basis">
          Facts of the trade on these cards are common practice, no source, unless a card names one.
        </p>
      </article>
      <Button className="button print-here" onPress={() => window.print()}>
        Print this card
      </Button>
    </div>
  );
}
