import { ToggleButton, ToggleButtonGroup } from "react-aria-components";
import { feetAndFrames, timecodeOf } from "../../model/index.ts";
import { frameNumber } from "../../units/index.ts";
import { actions } from "../actions.ts";
import { ActionButton, Key } from "../frame/ActionButton.tsx";
import { framesNow } from "../state/looking.ts";
import { played } from "../state/playing.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { type PictureView, pictureViews, view } from "../state/view.ts";
import { timeOfDay } from "../words/time-of-day.ts";

/** Under the table: how to look at it, and which frame it is. */
export function TableBar() {
  return (
    <div className="bar">
      <Views />
      <Transport />
      <FrameNames />
    </div>
  );
}

function Views() {
  const picture = useStore(view, (value) => value.picture);
  const files = useStore(session, (value) => value.files);
  if (!files) return <div className="views" />;
  return (
    <ToggleButtonGroup
      className="views"
      aria-label="View of the frame"
      selectionMode="single"
      disallowEmptySelection
      selectedKeys={[picture]}
      onSelectionChange={(keys) => {
        const [key] = keys;
        actions[key as PictureView].perform();
      }}
    >
      {pictureViews.map((each) => (
        <ToggleButton key={each} id={each} className="view" isDisabled={!actions[each].when()}>
          {actions[each].label}
          <Key action={actions[each]} />
        </ToggleButton>
      ))}
    </ToggleButtonGroup>
  );
}

function Transport() {
  const playing = useStore(view, (value) => value.playing);
  const rate = useStore(view, (value) => value.rate);
  const own = useStore(session, (value) => value.report?.shot.fps ?? value.sheet?.shot.fps ?? 24);
  const late = useStore(played, (value) => value.late);
  const fps = rate ?? own;
  return (
    <div className="transport">
      <ActionButton className="icon-button" action={actions.back} name={actions.back.label}>
        <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
          <path d="M11 3 5.5 8 11 13" />
        </svg>
      </ActionButton>
      <ActionButton
        className="icon-button"
        action={actions.play}
        name={playing ? "Stop" : `Play at ${fps} frames a second`}
      >
        <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
          {playing ? <path d="M5 3.500v9M11 3.500v9" /> : <path className="filled" d="M4.5 2.800v10.400L13 8z" />}
        </svg>
      </ActionButton>
      <ActionButton className="icon-button" action={actions.on} name={actions.on.label}>
        <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
          <path d="M5 3l5.5 5L5 13" />
        </svg>
      </ActionButton>
      <ActionButton className="rate" action={actions.rate} name={`${fps} fps: frames a second to play at, change`}>
        {fps} fps
        {playing && late > 0 && <span className="late">{late} late</span>}
      </ActionButton>
    </div>
  );
}

function FrameNames() {
  const frame = useStore(view, (value) => value.frame);
  const report = useStore(session, (value) => value.report);
  const sheet = useStore(session, (value) => value.sheet);
  const fps = report?.shot.fps ?? sheet?.shot.fps ?? 24;
  const start = report?.shot.timecodeStart ?? sheet?.shot.timecodeStart ?? null;
  const code = timecodeOf(frameNumber(frame), fps, start);
  const time = timeOfDay(report?.frames.find((each) => each.frame === frame)?.time ?? null);
  const frames = framesNow();
  return (
    <dl className="frame-names">
      <div>
        <dt>frame</dt>
        <dd>
          {frame}
          <span className="of"> / {frames[frames.length - 1]}</span>
        </dd>
      </div>
      {code !== null && (
        <div>
          <dt>timecode</dt>
          <dd>{code}</dd>
        </div>
      )}
      <div>
        <dt>feet+frames</dt>
        <dd>{feetAndFrames(frameNumber(frame))}</dd>
      </div>
      {time !== null && (
        <div>
          <dt>taken</dt>
          <dd>{time}</dd>
        </div>
      )}
    </dl>
  );
}
