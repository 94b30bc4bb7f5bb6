import type { FlagKind } from "../../model/index.ts";
import { MARK_HEIGHT, MARK_WIDTH, markGrounds, markPaths, upright } from "./marks.ts";

/** The small drawing of a flag's own trace. Its words stand beside it, so it is silent to a screen reader. */
export function Mark({
  kind,
  className,
  falls = false,
}: {
  readonly kind: FlagKind;
  readonly className?: string;
  /** True where the trace goes down: steps and spikes are drawn with it. */
  readonly falls?: boolean;
}) {
  const turned = falls && upright.has(kind) ? { transform: `matrix(1 0 0 -1 0 ${MARK_HEIGHT})` } : {};
  const ground = markGrounds[kind];
  // Over its ground the trace keeps clear of it: turned about its own middle.
  const moved = ground !== undefined && falls ? { transform: `matrix(1 0 0 -1 0 ${MARK_HEIGHT - 3})` } : turned;
  return (
    <svg
      className={className ? `mark ${className}` : "mark"}
      width={MARK_WIDTH}
      height={MARK_HEIGHT}
      viewBox={`0 0 ${MARK_WIDTH} ${MARK_HEIGHT}`}
      aria-hidden="true"
    >
      {ground !== undefined && <path className="mark-line" d={ground} opacity="0.55" />}
      <path className="mark-edge" d={markPaths[kind]} {...moved} />
      <path className="mark-line" d={markPaths[kind]} {...moved} />
    </svg>
  );
}
