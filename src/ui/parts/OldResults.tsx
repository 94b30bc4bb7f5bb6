import { Button } from "react-aria-components";
import { counted, duration } from "../../reports/words.ts";
import { actions } from "../actions.ts";
import { canCheckAgain } from "../state/checking.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";

/** What is old, in words; empty where the change touches no result. */
function whatIsOld(
  old: ReadonlySet<string>,
  measured: ReadonlySet<string>,
  parts: readonly { readonly id: string; readonly name: string }[],
): string {
  const own = parts.filter(({ id }) => old.has(id) && measured.has(id));
  if (old.has("camera")) return "All results are of the sheet as it was.";
  if (own.length === 0) return "";
  return own.length === 1
    ? `The result of ${own[0].name} is of the sheet as it was.`
    : `Results of ${counted(own.length, "part")} are of the sheet as it was.`;
}

/** How far the check with the sheet as it is now is, and which results on the screen are of an earlier one. */
export function OldResults({
  always = false,
}: {
  /** Also while there is nothing old: the first check. */ readonly always?: boolean;
}) {
  const { old, phase, report, done, total, secondsLeft } = useStore(session, (value) => value);
  const running = phase === "checking";
  if (old === null && !(running && always)) return null;
  const words =
    old === null ? "" : whatIsOld(old, new Set(report?.tracks.map(({ part }) => part)), report?.parts ?? []);
  const left = secondsLeft === null ? "" : `, about ${duration(secondsLeft)} left`;
  const share = total > 0 ? Math.round((100 * done) / total) : 0;
  return (
    <section className="old-results" aria-label="Check with the sheet as it is">
      <div>
        {words !== "" && (
          <p>
            <span className="old-word">old</span> {words}
          </p>
        )}
        {words === "" && !running && <p>The sheet was changed since the check.</p>}
        {running && (
          <>
            <p>Checking{left === "" ? "" : left}</p>
            <div
              className="progress"
              role="progressbar"
              aria-label="Check"
              aria-valuemin={0}
              aria-valuemax={100}
              aria-valuenow={share}
            >
              <div style={{ transform: `scaleX(${share / 100})` }} />
            </div>
          </>
        )}
      </div>
      {running ? (
        <Button className="button small" onPress={actions.cancel.perform}>
          {old === null ? "Cancel" : "Keep the old"}
        </Button>
      ) : (
        canCheckAgain() && (
          <Button className="button small" onPress={actions.checkAgain.perform}>
            Check now
          </Button>
        )
      )}
    </section>
  );
}
