import { useLayoutEffect, useRef } from "react";
import { Button, Input, Label, TextArea, TextField } from "react-aria-components";
import { type Flag, verdictLabels } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { isSettled, setNote, verdicts } from "../state/verdicts.ts";
import type { Strips } from "../strips/strips.ts";
import { choices } from "./choices.ts";

/**
 * The desk at the foot of the findings, in sight however far one reads: what people decide about a finding (eight
 * large keys, who, and a note) and the way to the next one.
 */
export function Desk({ flag, strips }: { readonly flag: Flag; readonly strips: Strips }) {
  const isKept = useStore(verdicts, (value) => value.shot !== null);
  const told = useStore(verdicts, (value) => value.told);
  const canUndo = useStore(verdicts, (value) => value.past.length > 0);
  const desk = useRef<HTMLElement>(null);
  const isShown = isKept || strips.flags.length > 1;
  // What is scrolled to above the desk must not end up under it, however high it is now.
  useLayoutEffect(() => {
    const own = desk.current;
    const scroller = own?.parentElement;
    if (!own || !scroller) return undefined;
    const makeRoom = () => {
      scroller.style.setProperty("--desk", `${own.offsetHeight + 8}px`);
      // The desk that comes, or a note that grows, must not cover the sentence that it is about.
      const sentence = scroller.querySelector(".card h2");
      const box = sentence?.getBoundingClientRect();
      const top = own.getBoundingClientRect().top;
      if (box && box.bottom > top) sentence?.scrollIntoView({ block: "nearest" });
    };
    makeRoom();
    const observer = new ResizeObserver(makeRoom);
    observer.observe(own);
    return () => {
      observer.disconnect();
      scroller.style.removeProperty("--desk");
    };
  }, [isShown]);
  if (!isShown) return null;
  return (
    <section ref={desk} className="desk" aria-label={isKept ? "Verdict" : "Findings, one by one"}>
      <header className="desk-head">
        <h3>{isKept ? "Verdict" : "Findings"}</h3>
        {isKept && <Said flag={flag} />}
        {isKept && canUndo && (
          <ActionButton className="word-button" action={actions.undoVerdict}>
            Take back <Key action={actions.undoVerdict} />
          </ActionButton>
        )}
        <Neighbours flag={flag} strips={strips} />
      </header>
      {isKept && <Choices flag={flag} />}
      {isKept && <Words flag={flag} />}
      <p className="unseen" role="status">
        {told}
      </p>
    </section>
  );
}

/** Which finding of how many, and the way to its neighbours. */
function Neighbours({ flag, strips }: { readonly flag: Flag; readonly strips: Strips }) {
  const place = strips.flags.findIndex((each) => each.id === flag.id) + 1;
  const count = strips.flags.length;
  const isDone = useStore(verdicts, ({ judged }) => isSettled(judged, flag.id));
  const isLeft = useStore(verdicts, ({ judged }) => strips.flags.some(({ id }) => !isSettled(judged, id)));
  if (count < 2) return null;
  return (
    <div className="neighbours" role="group" aria-label="Findings">
      <ActionButton className="icon-button" action={actions.lastFlag} name="Finding before">
        <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
          <path d="M10 3.5 5.5 8 10 12.5" />
        </svg>
      </ActionButton>
      <span>
        <span className="unseen">Finding </span>
        {place} of {count}
      </span>
      <ActionButton className={isDone && isLeft ? "button small strong" : "button small"} action={actions.nextFlag}>
        Next<span className="unseen"> finding</span> <Key action={actions.nextFlag} />
      </ActionButton>
    </div>
  );
}

/** Four by two, so that a thumb finds them without a look. */
function Choices({ flag }: { readonly flag: Flag }) {
  const judged = useStore(verdicts, (value) => value.judged.get(flag.id) ?? null);
  const settled = judged?.state === "settled" ? judged.verdict : null;
  const isKnown = settled !== null && settled.untilFrame !== null;
  return (
    <div className="verdict-choices" role="group" aria-label="Verdicts">
      {choices.map(({ choice, action }) => {
        const isChosen = !isKnown && settled?.choice === choice;
        return (
          <Button
            key={choice}
            className={isChosen ? "verdict-choice chosen" : "verdict-choice"}
            aria-pressed={isChosen}
            onPress={action().perform}
          >
            <Key action={action()} />
            <span>{verdictLabels[choice]}</span>
          </Button>
        );
      })}
      <Button
        className={isKnown ? "verdict-choice chosen" : "verdict-choice"}
        aria-pressed={isKnown}
        onPress={actions.know.perform}
      >
        <Key action={actions.know} />
        <span>
          I know<span className="unseen">, until this hold ends</span>
        </span>
      </Button>
    </div>
  );
}

function Words({ flag }: { readonly flag: Flag }) {
  const verdict = useStore(verdicts, (value) => value.judged.get(flag.id)?.verdict ?? null);
  const who = useStore(settings, (value) => value.who);
  return (
    <div className="verdict-words">
      <TextField
        className="field verdict-who"
        value={who}
        onChange={(text) => settings.set({ who: text })}
        maxLength={24}
      >
        <Label>Who</Label>
        <Input autoComplete="off" placeholder="initials" />
      </TextField>
      <TextField
        className="field verdict-note"
        value={verdict?.note ?? ""}
        isDisabled={verdict === null}
        onChange={(text) => setNote(flag, text)}
      >
        <Label>Note</Label>
        <TextArea rows={1} placeholder={verdict === null ? "after a verdict" : ""} />
      </TextField>
    </div>
  );
}

/** "JB, 25 Nov"; what it was where the flag came back. */
function Said({ flag }: { readonly flag: Flag }) {
  const judged = useStore(verdicts, (value) => value.judged.get(flag.id) ?? null);
  if (!judged) return null;
  const { verdict, state } = judged;
  const day = new Date(verdict.changed).toLocaleDateString("en-GB", { day: "numeric", month: "short" });
  const by = [verdict.who, day].filter((word) => word !== "").join(", ");
  if (state === "settled") {
    const until = verdict.untilFrame === null ? "" : `known to frame ${verdict.untilFrame}`;
    return <p className="verdict-said">{[until, by].filter((word) => word !== "").join("; ")}</p>;
  }
  const size = verdict.flag.px === null ? "" : ` at ${verdict.flag.px.toFixed(2)} px`;
  return (
    <p className="verdict-said verdict-worse">
      Grown since: {verdictLabels[verdict.choice]}
      {size} ({by})
    </p>
  );
}
