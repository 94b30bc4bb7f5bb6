import { useEffect, useRef } from "react";
import { Button, ToggleButton } from "react-aria-components";
import { type Flag, flagKindLabels } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { Key } from "../frame/ActionButton.tsx";
import { Mark } from "../marks/Mark.tsx";
import { goToFlag } from "../state/looking.ts";
import { reading } from "../state/reading.ts";
import { proving } from "../state/proving.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { checkWithoutSheet, hasSheetFile } from "../state/checking.ts";
import { stripOfFlag, type Strips } from "../strips/strips.ts";
import { fallsOn } from "../timeline/paint-strip.ts";
import { unmeasuredParts } from "../../reports/coverage.ts";
import { counted, duration, fixed, frameList } from "../../reports/words.ts";
import { answerOf, finenessOf } from "./answer.ts";
import { TourOffer } from "../tour/TourOffer.tsx";
import { Progress, useVerdictClass, VerdictWord } from "../verdicts/VerdictState.tsx";
import { OldResults } from "../parts/OldResults.tsx";
import { Desk } from "../verdicts/Desk.tsx";
import { FlagCard } from "./FlagCard.tsx";
import { ShotNotes } from "./ShotNotes.tsx";
import { StripCard } from "./StripCard.tsx";

/** Beside the table: the answer, what was found, and the finding that is chosen. */
export function Side() {
  const phase = useStore(session, (value) => value.phase);
  const strips = useStore(session, (value) => value.strips);
  const chosenFlag = useStore(view, (value) => value.flag);
  const chosenStrip = useStore(view, (value) => value.strip);
  const flag = strips?.flags.find((each) => each.id === chosenFlag) ?? null;
  const strip = strips?.strips.find((each) => each.id === chosenStrip) ?? null;
  return (
    // What scrolls must be reached by keyboard, though there may be nothing in it to press.
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex
    <aside className="side" aria-label="Findings" tabIndex={0}>
      {phase === "failed" ? <Failed /> : <Answer />}
      <OldResults />
      <TourOffer />
      {strips && strips.flags.length > 0 && <Findings strips={strips} />}
      {strips && strips.flags.length === 0 && <NotMeasured />}
      {strips && flag && <FlagCard flag={flag} strips={strips} />}
      {strips && !flag && strip && <StripCard strip={strip} strips={strips} />}
      {strips && strips.flags.length > 0 && <NotMeasured />}
      {phase === "checked" && strips && <Ways />}
      <ShotNotes />
      <Warnings />
      {strips && flag && <Desk flag={flag} strips={strips} />}
    </aside>
  );
}

/** What follows from a check that is done. */
const Ways = () => (
  <p className="paper-ways">
    <a className="link" href="#strike">
      Safe to strike?
    </a>
    <ProveLink />
    <a className="link" href="#handover">
      Handover
    </a>
  </p>
);

/** The way to the proof, and how far it is while one looks at something else. */
function ProveLink() {
  const { phase, done, total } = useStore(proving, (value) => value);
  return (
    <a className="link" href="#prove">
      {phase === "proving" && total > 0
        ? `Proving, ${Math.round((100 * done) / total)} %`
        : phase === "proved"
          ? "Proved: see what came back"
          : "Prove it"}
    </a>
  );
}

function Answer() {
  const { phase, strips, blank, cancelled, report, files, old } = useStore(session, (value) => value);
  // A check with a changed sheet runs behind results that stay: it is told below them.
  const checking = phase === "checking" && old === null;
  if (!strips || !report || blank) {
    return (
      <header className="answer">
        <h1 aria-live="polite">
          {checking
            ? `Checking ${counted(files?.size ?? 0, "frame")}`
            : cancelled
              ? "Cancelled before anything was measured"
              : ""}
        </h1>
        {checking && <CheckProgress />}
        {cancelled && <AgainButton />}
      </header>
    );
  }
  const drawn = report.frames.length;
  const last = report.frames.at(-1)?.frame;
  const parts = strips.strips.filter((strip) => strip.kind === "part").length;
  return (
    <header className={strips.flags.length > 0 ? "answer drifted" : "answer"}>
      <h1 aria-live="polite">{answerOf(report, checking ? "checking" : cancelled ? "cancelled" : "checked")}</h1>
      {checking ? (
        <CheckProgress />
      ) : (
        <p>
          <span className={cancelled ? undefined : "answer-count"}>
            {cancelled
              ? `Stopped at frame ${last}: ${drawn} of ${counted(files?.size ?? 0, "frame")}`
              : counted(report.shot.frames.length, "frame")}
            , {counted(parts, "part")}, camera and light.{" "}
          </span>
          {finenessOf(report, strips)}
        </p>
      )}
      {cancelled && !checking && <AgainButton />}
    </header>
  );
}

function AgainButton() {
  return (
    <p className="again">
      <Button className="button" onPress={actions.checkAgain.perform}>
        Check again
      </Button>
    </p>
  );
}

function CheckProgress() {
  const { done, total, measured, secondsLeft, files } = useStore(session, (value) => value);
  const frames = files?.size ?? 0;
  // Headers are read in no time and are steps like any other: they would fill half of the bar at once.
  const share = measured === 0 || total <= frames ? 0 : Math.max(0, (done - frames) / (total - frames));
  return (
    <div className="progress-block">
      <div
        className="progress"
        role="progressbar"
        aria-label="Check"
        aria-valuemin={0}
        aria-valuemax={100}
        aria-valuenow={Math.round(100 * share)}
        aria-valuetext={`${measured} of ${counted(frames, "frame")} measured`}
      >
        <div style={{ transform: `scaleX(${share})` }} />
      </div>
      <p>
        {measured === 0 ? "Opening the frames" : `${measured} of ${counted(frames, "frame")} measured`}
        {measured === 0 || secondsLeft === null ? "" : `, about ${duration(secondsLeft)} left`}
      </p>
      <Button className="button" onPress={actions.cancel.perform}>
        Cancel <Key action={actions.cancel} />
      </Button>
    </div>
  );
}

function Failed() {
  const failure = useStore(session, (value) => value.failure);
  if (!failure) return null;
  return (
    <div className="answer failed" role="alert">
      <h1>{failure.title}</h1>
      <ul className="reasons">
        {failure.lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      <p>Nothing was changed; the frames are still open.</p>
      <div className="button-row">
        {hasSheetFile() && failure.id === "sheet-refused" && (
          <Button className="button strong" onPress={checkWithoutSheet}>
            Check without the sheet
          </Button>
        )}
        {failure.id === "sheet-refused" ? (
          <Button className="button" onPress={actions.openFile.perform}>
            Open another sheet
          </Button>
        ) : (
          <Button className="button" onPress={actions.checkAgain.perform}>
            Check again
          </Button>
        )}
      </div>
    </div>
  );
}

/** "Left upper arm", or what moved where it is no part. */
const subjectOf = (flag: Flag, strips: Strips) =>
  flag.part === null && flag.kind === "set-shift"
    ? "The set"
    : (strips.strips.find((strip) => strip.id === stripOfFlag(flag))?.name ?? "The picture");

const falls = (flag: Flag, strips: Strips) => {
  const strip = strips.strips.find((each) => each.id === stripOfFlag(flag));
  return strip !== undefined && fallsOn(strip, flag);
};

const sizeOf = (flag: Flag) =>
  flag.px !== null
    ? `${fixed(flag.px, flag.kind === "stray" ? 0 : 2)} px`
    : flag.stops !== null
      ? `${fixed(flag.stops, 3)} stops`
      : "";

function Findings({ strips }: { readonly strips: Strips }) {
  const chosen = useStore(view, (value) => value.flag);
  const verdictClass = useVerdictClass();
  const exact = useStore(reading, (value) => value.exact);
  const list = useRef<HTMLOListElement>(null);
  useEffect(() => {
    list.current?.querySelector(".chosen")?.scrollIntoView({ block: "nearest" });
  }, [chosen]);
  return (
    <section className="findings-block" aria-label="All findings">
      <div className="findings-head">
        <Progress />
        <ToggleButton className="word-button" isSelected={exact} onChange={actions.exact.perform}>
          ± <span className="unseen">of every number</span>
          <Key action={actions.exact} />
        </ToggleButton>
      </div>
      <ol className="findings" ref={list}>
        {strips.flags.map((flag) => (
          <li key={flag.id}>
            <button
              type="button"
              aria-pressed={flag.id === chosen}
              className={`finding ${verdictClass(flag.id)}${flag.id === chosen ? " chosen" : ""}`}
              onClick={() => goToFlag(flag)}
            >
              <Mark kind={flag.kind} falls={falls(flag, strips)} />
              <span className="finding-what">
                {subjectOf(flag, strips)}
                <small>
                  {flagKindLabels[flag.kind]},{" "}
                  {flag.from === flag.to ? `frame ${flag.from}` : `from frame ${flag.from}`}
                </small>
              </span>
              <span className="finding-size">
                {sizeOf(flag)}
                <VerdictWord flag={flag} />
              </span>
            </button>
          </li>
        ))}
      </ol>
    </section>
  );
}

/** More reasons than this say no more. */
const MOST_REASONS = 2;

function NotMeasured() {
  const { phase, cancelled, report } = useStore(session, (value) => value);
  if (phase !== "checked" || cancelled || !report) return null;
  const blind = unmeasuredParts(report);
  if (blind.length === 0) return null;
  return (
    <section className="note-block">
      <h2>Could not be measured</h2>
      <ul className="reasons">
        {blind.map(({ part, name, frames, visible, reasons }) => (
          <li key={part}>
            <strong>{name}</strong>, {frames.length === visible ? "in no frame" : frameList(frames, report.shot.frames)}
            {reasons.length > 0 && `: ${reasons.slice(0, MOST_REASONS).join("; ")}`}.
          </li>
        ))}
      </ul>
    </section>
  );
}

function Warnings() {
  const warnings = useStore(session, (value) => value.report?.warnings);
  if (!warnings || warnings.length === 0) return null;
  return (
    <section className="note-block">
      <h2>To know</h2>
      <ul className="reasons">
        {warnings.map((warning) => (
          <li key={`${warning.code} ${warning.detail}`}>{sentence(warning.detail)}</li>
        ))}
      </ul>
    </section>
  );
}

/** A warning as a sentence. One that begins with a file's name keeps it as it is. */
const sentence = (text: string) => {
  const first = /^[a-z]+[ ,:]/u.test(text) ? text.charAt(0).toUpperCase() + text.slice(1) : text;
  return /[.!?]$/u.test(first) ? first : `${first}.`;
};
