import { Button, Menu, MenuItem, MenuTrigger, Popover } from "react-aria-components";
import type { Production, ShotRecord } from "../../model/index.ts";
import { makeProduction, moveShot } from "../state/kept-shot.ts";
import { titleOf } from "./words.ts";

/** Never the id of a production. */
const NEW = "new production";

/** "New production", or with a number where there is one of that name. */
function freeName(productions: readonly Production[]): string {
  const taken = new Set(productions.map(({ name }) => name));
  let name = "New production";
  for (let count = 2; taken.has(name); count++) name = `New production ${count}`;
  return name;
}

/** Puts a shot into another production, or into one of its own. */
export function MoveShot({
  shot,
  productions,
}: {
  readonly shot: ShotRecord;
  readonly productions: readonly Production[];
}) {
  const others = productions.filter(({ id }) => id !== shot.production);
  return (
    <MenuTrigger>
      <Button className="button small" aria-label={`Move ${titleOf(shot)} to another production`}>
        Move
      </Button>
      <Popover className="menu-popover" placement="bottom end">
        <Menu
          className="menu"
          aria-label={`Move ${titleOf(shot)} to`}
          onAction={(key) => void moveShot(shot, key === NEW ? makeProduction(freeName(productions)) : String(key))}
        >
          {others.map(({ id, name }) => (
            <MenuItem key={id} id={id} className="menu-item">
              {name}
            </MenuItem>
          ))}
          <MenuItem id={NEW} className="menu-item">
            A new production
          </MenuItem>
        </Menu>
      </Popover>
    </MenuTrigger>
  );
}
