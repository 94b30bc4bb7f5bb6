import { Button, Menu, MenuItem, MenuTrigger, Popover } from "react-aria-components";
import { type Action, actions } from "../actions.ts";
import { ActionButton, Key } from "./ActionButton.tsx";
import { session } from "../state/session.ts";
import { groundOf, settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { screen as screenNow } from "../state/screen.ts";
import { screens } from "./screens.ts";

const openActions: readonly Action[] = [actions.openFolder, actions.openFile, actions.shots, actions.checkAgain];
const saveActions: readonly Action[] = [actions.saveReport, actions.saveSheet];

export function Header() {
  const shot = useStore(session, (value) => value.shot);
  const phase = useStore(session, (value) => value.phase);
  const report = useStore(session, (value) => value.report);
  const ground = useStore(settings, groundOf);
  const now = useStore(screenNow, (value) => value.now);
  const up = screens.find(({ id }) => id === now) ?? screens[0];
  return (
    <header className="header">
      <span className="wordmark">
        <svg width="26" height="16" viewBox="0 0 26 16" aria-hidden="true">
          <rect x="0" y="4" width="26" height="6" rx="1" />
          <path d="M0 7h10c5 0 6 6 16 6.5" />
        </svg>
        Holdfast
      </span>
      {shot && <span className="shot-name">{shot}</span>}
      {screens.length > 1 && (
        <nav aria-label="Screens">
          {screens
            .filter((screen) => !screen.ofShot || screen === up)
            .map((screen) => (
              <a key={screen.id} href={`#${screen.id}`} aria-current={screen === up ? "page" : undefined}>
                {screen.label}
              </a>
            ))}
        </nav>
      )}
      <div className="header-tools">
        <ActionMenu label="Open" list={openActions} phase={phase} />
        {report && <ActionMenu label="Save" list={saveActions} phase={phase} />}
        <ActionButton className="header-button" action={actions.ground}>
          <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
            <circle cx="8" cy="8" r="6" />
            <path className="filled" d="M8 2a6 6 0 0 1 0 12z" />
          </svg>
          {ground === "dim" ? "Bright" : "Dim"}
        </ActionButton>
        <ActionButton className="header-button" action={actions.search}>
          Find <Key action={actions.search} />
        </ActionButton>
        <ActionButton className="header-button" action={actions.keys}>
          Keys <Key action={actions.keys} />
        </ActionButton>
      </div>
    </header>
  );
}

/** A menu made of the table of actions; what can't be done now is left grey. */
function ActionMenu({
  label,
  list,
}: {
  readonly label: string;
  readonly list: readonly Action[];
  readonly phase: string;
}) {
  return (
    <MenuTrigger>
      <Button className="header-button">
        {label}
        <svg width="10" height="10" viewBox="0 0 10 10" aria-hidden="true">
          <path d="M2 3.5 5 6.5 8 3.5" />
        </svg>
      </Button>
      <Popover className="menu-popover" placement="bottom end">
        <Menu
          className="menu"
          aria-label={label}
          disabledKeys={list.filter((action) => !action.when()).map((action) => action.label)}
          onAction={(key) => list.find((action) => action.label === key)?.perform()}
        >
          {list.map((action) => (
            <MenuItem key={action.label} id={action.label} className="menu-item" textValue={action.label}>
              <span>{action.label}</span>
              <Key action={action} />
            </MenuItem>
          ))}
        </Menu>
      </Popover>
    </MenuTrigger>
  );
}
