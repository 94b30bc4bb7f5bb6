import { Button, Menu, MenuItem, MenuTrigger, Popover, ToggleButton } from "react-aria-components";
import { actions } from "../actions.ts";
import { ActionButton } from "../frame/ActionButton.tsx";
import { lane } from "../state/lane.ts";
import { type AxisKind, reading } from "../state/reading.ts";
import { useStore } from "../state/store.ts";

const axes: Readonly<Record<AxisKind, { readonly name: string; readonly short: string }>> = {
  frames: { name: "Frame numbers", short: "Frames" },
  timecode: { name: "Timecode", short: "Timecode" },
  feet: { name: "Feet and frames", short: "Feet" },
  time: { name: "Time of day, with breaks", short: "Time" },
};

/** How the frames are told and how closely one looks at them. */
export function TimelineBar({
  hasScale,
  hasTimes,
  hasTimecode,
}: {
  readonly hasScale: boolean;
  readonly hasTimes: boolean;
  readonly hasTimecode: boolean;
}) {
  const zoom = useStore(lane, (value) => value.zoom);
  const { unit, axis, follow } = useStore(reading, (value) => value);
  const disabled = [...(hasTimes ? [] : ["time"]), ...(hasTimecode ? [] : ["timecode"])];
  return (
    <div className="timeline-bar" role="toolbar" aria-label="Timeline">
      <div className="bar-group">
        <ActionButton className="bar-button" action={actions.laneFurther} isDisabled={zoom <= 1} name="See more frames">
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
            <path d="M2.5 7h9" />
          </svg>
        </ActionButton>
        <ActionButton className="bar-button" action={actions.laneCloser} name="Look closer at the frames">
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
            <path d="M2.5 7h9M7 2.5v9" />
          </svg>
        </ActionButton>
        <ActionButton className="bar-button" action={actions.laneWhole} isDisabled={zoom <= 1} name="All frames">
          <svg width="16" height="14" viewBox="0 0 16 14" aria-hidden="true">
            <path d="M2 2.5v9M14 2.5v9M4.5 7h7M6.5 5l-2 2 2 2M9.5 5l2 2-2 2" />
          </svg>
        </ActionButton>
        <ToggleButton
          className="bar-button"
          aria-label="Follow the playhead while playing"
          isSelected={follow}
          onChange={actions.follow.perform}
        >
          <svg width="16" height="14" viewBox="0 0 16 14" aria-hidden="true">
            <path d="M5 2v10M8 7h5.5M11.5 4.5 14 7l-2.5 2.5" />
          </svg>
        </ToggleButton>
      </div>
      <ActionButton
        className="bar-button words"
        action={actions.unit}
        isDisabled={!hasScale}
        name={hasScale ? `px mm: lengths in ${unit}` : "px mm: lengths in px, no scale is known"}
      >
        <span className={unit === "px" || !hasScale ? "now" : ""}>px</span>{" "}
        <span className={unit === "mm" && hasScale ? "now" : ""}>mm</span>
      </ActionButton>
      <MenuTrigger>
        <Button className="bar-button words" aria-label={`${axes[axis].short}: what the axis tells`}>
          {axes[axis].short}
          <svg width="10" height="10" viewBox="0 0 10 10" aria-hidden="true">
            <path d="M2 3.5 5 6.5 8 3.5" />
          </svg>
        </Button>
        <Popover className="menu-popover" placement="top start">
          <Menu
            className="menu"
            aria-label="Axis"
            selectionMode="single"
            selectedKeys={[axis]}
            disabledKeys={disabled}
            disallowEmptySelection
            onSelectionChange={(keys) => {
              const [key] = keys === "all" ? [] : keys;
              const next = Object.keys(axes).find((each) => each === key);
              if (next !== undefined) reading.set({ axis: next as AxisKind });
            }}
          >
            {Object.entries(axes).map(([id, { name }]) => (
              <MenuItem key={id} id={id} className="menu-item" textValue={name}>
                <span>{name}</span>
                {id === axis && (
                  <svg width="12" height="12" viewBox="0 0 14 14" aria-hidden="true">
                    <path d="M2 7l3.5 3.5L12 3.5" />
                  </svg>
                )}
              </MenuItem>
            ))}
          </Menu>
        </Popover>
      </MenuTrigger>
    </div>
  );
}
