import { type Flag, verdictLabels } from "../../model/index.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { isSettled, verdicts } from "../state/verdicts.ts";

/** "settled", "worse", "new" or nothing: for the classes of marks and lists, so that a settled flag steps back. */
export function useVerdictClass(): (flag: string) => string {
  const judged = useStore(verdicts, (value) => value.judged);
  const fresh = useStore(verdicts, (value) => value.fresh);
  return (flag) => judged.get(flag)?.state ?? (fresh.has(flag) ? "new" : "");
}

/** What was decided, in a word, for a list of findings; "new" where the report before did not have it. */
export function VerdictWord({ flag }: { readonly flag: Flag }) {
  const judged = useStore(verdicts, (value) => value.judged.get(flag.id) ?? null);
  const isNew = useStore(verdicts, (value) => value.fresh.has(flag.id));
  if (judged?.state === "settled") {
    const { choice, untilFrame } = judged.verdict;
    return (
      <span className="verdict-word settled">
        {untilFrame === null ? verdictLabels[choice] : `known to ${untilFrame}`}
      </span>
    );
  }
  if (judged?.state === "worse") return <span className="verdict-word worse">grown since</span>;
  return isNew ? <span className="verdict-word new">new</span> : null;
}

/** "3 of 5 judged". */
export function Progress() {
  const shot = useStore(verdicts, (value) => value.shot);
  const judged = useStore(verdicts, (value) => value.judged);
  const { report, blank, phase } = useStore(session, (value) => value);
  const flags = blank ? [] : (report?.flags ?? []);
  if (shot === null || flags.length === 0 || phase !== "checked") return null;
  const done = flags.filter(({ id }) => isSettled(judged, id)).length;
  return (
    <p className={done === flags.length ? "judged all" : "judged"} aria-live="polite">
      <span className="judged-bar" aria-hidden="true">
        {flags.map(({ id }) => (
          <i key={id} className={isSettled(judged, id) ? "done" : ""} />
        ))}
      </span>
      {done === flags.length
        ? `All ${flags.length === 1 ? "" : `${flags.length} `}judged`
        : `${done} of ${flags.length} judged`}
    </p>
  );
}
