import { Button } from "react-aria-components";
import { dropNotice, session } from "../state/session.ts";
import { useStore } from "../state/store.ts";

/** More lines than this are told as a number. */
const MOST_LINES = 8;

/** What was refused, and why: stays until it is put away. */
export function Notices() {
  const notices = useStore(session, (value) => value.notices);
  return (
    <div className="notices" role="region" aria-label="Messages" aria-live="polite">
      {notices.map((notice) => (
        <div key={notice.id} className="notice">
          <div>
            <strong>{notice.title}</strong>
            {notice.lines.slice(0, MOST_LINES).map((line) => (
              <p key={line}>{line}</p>
            ))}
            {notice.lines.length > MOST_LINES && <p>and {notice.lines.length - MOST_LINES} more.</p>}
          </div>
          <Button
            className="icon-button"
            aria-label={`Put away: ${notice.title}`}
            onPress={() => dropNotice(notice.id)}
          >
            <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
              <path d="M3 3l8 8M11 3l-8 8" />
            </svg>
          </Button>
        </div>
      ))}
    </div>
  );
}
