import { Button } from "react-aria-components";
import { dropNotice, session } from "../state/session.ts";
import { useStore } from "../state/store.ts";

/** What was refused, and why: stays until it is put away. */
export function Notices() {
  const notices = useStore(session, (value) => value.notices);
  return (
    <div className="notices" role="region" aria-label="Messages" aria-live="polite">
      {notices.map((notice) => (
        <div key={notice.id} className="notice">
          <div>
            <strong>{notice.title}</strong>
            {notice.lines
              .filter((line) => line !== "")
              .slice(0, 8)
              .map((line) => (
                <p key={line}>{line}</p>
              ))}
            {notice.lines.length > 8 && <p>and {notice.lines.length - 8} more.</p>}
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
