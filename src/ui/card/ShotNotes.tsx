import { watchedLines } from "../../reports/watched-lines.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";

/** What is worth knowing of the whole shot beside its findings: stops in shooting, what people put right, slow drifts to watch. */
export function ShotNotes() {
  const report = useStore(session, (value) => value.report);
  if (!report) return null;
  return (
    <>
      <Note title="Over the breaks" lines={(report.breaks ?? []).map(({ message }) => message)} />
      <Note title="Still within their bands" lines={watchedLines(report)} />
      <Note title="Put somewhere on purpose" lines={(report.corrections ?? []).map(({ message }) => message)} />
    </>
  );
}

function Note({ title, lines }: { readonly title: string; readonly lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <section className="note-block">
      <h2>{title}</h2>
      <ul className="reasons">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}
