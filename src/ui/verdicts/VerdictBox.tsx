import { Button, Input, Label, TextArea, TextField } from "react-aria-components";
import { type Flag, verdictLabels } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { setNote, verdicts } from "../state/verdicts.ts";
import { choices } from "./choices.ts";

/** What people decide about a finding: seven verdicts, one key each, who, and a note. */
export function VerdictBox({ flag }: { readonly flag: Flag }) {
  const judged = useStore(verdicts, (value) => value.judged.get(flag.id) ?? null);
  const shot = useStore(verdicts, (value) => value.shot);
  const told = useStore(verdicts, (value) => value.told);
  const canUndo = useStore(verdicts, (value) => value.past.length > 0);
  const who = useStore(settings, (value) => value.who);
  if (shot === null) return null;
  const { verdict, state } = judged ?? { verdict: null, state: null };
  const isKnown = verdict !== null && verdict.untilFrame !== null && state === "settled";
  return (
    <section className="verdict" aria-label="Verdict">
      <header>
        <h3>Verdict</h3>
        {verdict && <Said flag={flag} />}
        {canUndo && (
          <ActionButton className="word-button" action={actions.undoVerdict}>
            Take back <Key action={actions.undoVerdict} />
          </ActionButton>
        )}
      </header>
      <div className="verdict-choices" role="group" aria-label="Seven verdicts">
        {choices.map(({ choice, action }) => {
          const isChosen = state === "settled" && !isKnown && verdict?.choice === choice;
          return (
            <Button
              key={choice}
              className={isChosen ? "verdict-choice chosen" : "verdict-choice"}
              aria-pressed={isChosen}
              onPress={action().perform}
            >
              <Key action={action()} />
              {verdictLabels[choice]}
            </Button>
          );
        })}
        <Button
          className={isKnown ? "verdict-choice wide chosen" : "verdict-choice wide"}
          aria-pressed={isKnown}
          onPress={actions.know.perform}
        >
          <Key action={actions.know} />I know, until this hold ends
        </Button>
      </div>
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
      <p className="unseen" role="status">
        {told}
      </p>
    </section>
  );
}

/** "JB, 25 Nov" beside the heading; what it was where the flag came back. */
function Said({ flag }: { readonly flag: Flag }) {
  const judged = useStore(verdicts, (value) => value.judged.get(flag.id) ?? null);
  if (!judged) return null;
  const { verdict, state } = judged;
  const day = new Date(verdict.changed).toLocaleDateString("en-GB", { day: "numeric", month: "short" });
  const by = [verdict.who, day].filter((word) => word !== "").join(", ");
  if (state === "settled") {
    return (
      <span>
        {verdict.untilFrame === null ? "" : `known until frame ${verdict.untilFrame}; `}
        {by}
      </span>
    );
  }
  const size = verdict.flag.px === null ? "" : ` at ${verdict.flag.px.toFixed(2)} px`;
  return (
    <span className="verdict-worse">
      Grown since: {verdictLabels[verdict.choice]}
      {size} ({by})
    </span>
  );
}
