import type { ReactNode } from "react";
import { Button } from "react-aria-components";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";

/** One page about the shot that is open, to read on the screen and to print. */
export function Paper({
  title,
  tools,
  printable = true,
  children,
}: {
  readonly title: string;
  readonly tools?: ReactNode;
  /** False where there is nothing on the page yet. */
  readonly printable?: boolean;
  readonly children: ReactNode;
}) {
  const report = useStore(session, (value) => value.report);
  const { frames = [] } = report?.shot ?? {};
  return (
    // What scrolls must be reached by keyboard, though there may be nothing in it to press.
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex
    <div className="paper-room" tabIndex={0}>
      <article className="paper" aria-label={title}>
        <header className="paper-head">
          <div>
            <h1>{title}</h1>
            {report && (
              <p>
                {report.shot.name}, frames {frames[0]} to {frames.at(-1)}
                {report.shot.pass === null || report.shot.pass === undefined ? "" : `, ${report.shot.pass}`}
              </p>
            )}
          </div>
          <div className="button-row paper-tools">
            {tools}
            {report && printable && (
              <Button className="button" onPress={() => window.print()}>
                Print this page
              </Button>
            )}
          </div>
        </header>
        {report ? children : <p>Open a shot, or a report, and this page tells about it.</p>}
      </article>
    </div>
  );
}
