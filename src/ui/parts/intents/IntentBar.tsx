import { useState } from "react";
import {
  Button,
  Dialog,
  DialogTrigger,
  Input,
  Label,
  Menu,
  MenuItem,
  MenuTrigger,
  Popover,
  TextField,
  ToggleButton,
  Toolbar,
} from "react-aria-components";
import { intentNames, markKinds } from "../../../model/index.ts";
import type { IntentName, Mark } from "../../../model/index.ts";
import { session } from "../../state/session.ts";
import { useStore } from "../../state/store.ts";
import { view } from "../../state/view.ts";
import { Refusal } from "../EditField.tsx";
import { framesMeant, rowNow, saidNow } from "./meant.ts";
import { mark, ON_STRIPS, say } from "./say.ts";

const labels: Readonly<Record<IntentName, string>> = {
  moves: "Moves",
  holds: "Holds",
  alive: "Alive",
  rides: "Rides",
  swapped: "Swapped",
  hidden: "Hidden",
};
const tips: Readonly<Record<IntentName, string>> = {
  moves: "it is animated",
  holds: "it stands still",
  alive: "a moving hold: breathing is allowed, a trend is not",
  rides: "it goes where its carrier goes",
  swapped: "a piece that is replaced",
  hidden: "it can't be seen",
};
const markLabels: Readonly<Record<Mark["kind"], string>> = {
  reset: "Reset: it was taken out and set again",
  correction: "Correction: it was put right by hand",
  break: "Break: lunch, a night",
  anchor: "Anchor: measure the hold from here",
};

/** Between table and strips: what the chosen row is meant to do in the frames that are selected. */
export function IntentBar() {
  useStore(view, (value) => value.strip);
  useStore(session, (value) => value.sheet);
  const frame = useStore(view, (value) => value.frame);
  const range = useStore(view, (value) => value.range);
  const row = rowNow();
  const meant = row && framesMeant(row);
  if (row === null || meant === null) {
    return (
      <div className="intent-bar">
        <p>Choose a part, then drag over its strip to say what it is meant to do there.</p>
      </div>
    );
  }
  const name = row.kind === "camera" ? "Camera" : row.part.name;
  const said = saidNow(row);
  const names = row.kind === "camera" ? (["moves", "holds"] as const) : intentNames;
  const where = meant.from === meant.to ? `frame ${meant.from}` : `frames ${meant.from} to ${meant.to}`;
  return (
    <div className="intent-bar">
      <p>
        <strong>{name}</strong>, {where}
        {range === null && <span className="intent-how"> around the playhead</span>}
      </p>
      <Toolbar aria-label={`What ${name} is meant to do in ${where}`} className="intent-tools">
        {names.map((each) =>
          each === "swapped" ? (
            <Swapped key={each} isSaid={said === each} />
          ) : (
            <ToggleButton
              key={each}
              className="intent"
              isSelected={said === each}
              aria-description={tips[each]}
              onChange={() => say(each)}
            >
              <i className={`ground ${each}`} aria-hidden="true" />
              {labels[each]}
            </ToggleButton>
          ),
        )}
        <Button className="intent" onPress={() => say(null)}>
          Not said
        </Button>
        <MenuTrigger>
          <Button className="intent">
            Mark frame {frame}
            <svg width="10" height="10" viewBox="0 0 10 10" aria-hidden="true">
              <path d="M2 6.5 5 3.5 8 6.5" />
            </svg>
          </Button>
          <Popover className="menu-popover" placement="top end">
            <Menu className="menu" aria-label="Marks" onAction={(key) => mark(key as Mark["kind"])}>
              {markKinds.map((kind) => (
                <MenuItem key={kind} id={kind} className="menu-item">
                  {markLabels[kind]}
                </MenuItem>
              ))}
            </Menu>
          </Popover>
        </MenuTrigger>
      </Toolbar>
      <Refusal field={ON_STRIPS} />
    </div>
  );
}

/** A piece that is replaced: which one is worn. */
function Swapped({ isSaid }: { readonly isSaid: boolean }) {
  const row = rowNow();
  const [wears, setWears] = useState("");
  const [isOpen, setOpen] = useState(false);
  const known = row?.kind === "part" ? [...new Set(row.part.intents.flatMap((one) => one.wears ?? []))] : [];
  const put = (piece: string) => {
    if (piece.trim() === "" || !say("swapped", piece.trim())) return;
    setOpen(false);
    setWears("");
  };
  return (
    <DialogTrigger isOpen={isOpen} onOpenChange={setOpen}>
      <Button className="intent" data-selected={isSaid || undefined} aria-pressed={isSaid}>
        <i className="ground swapped" aria-hidden="true" />
        Swapped
      </Button>
      <Popover className="menu-popover wears" placement="top">
        <Dialog className="wears-dialog" aria-label="Which piece is worn">
          <TextField
            className="field"
            value={wears}
            onChange={setWears}
            // The dialog is there for this answer alone.
            // oxlint-disable-next-line jsx-a11y/no-autofocus
            autoFocus
          >
            <Label>Piece that is worn there</Label>
            <Input
              autoComplete="off"
              placeholder="mouth-3"
              onKeyDown={(event) => {
                if (event.key === "Enter") put(wears);
              }}
            />
          </TextField>
          <div className="button-row">
            {known.map((piece) => (
              <Button key={piece} className="button small" onPress={() => put(piece)}>
                {piece}
              </Button>
            ))}
            <Button className="button small strong" isDisabled={wears.trim() === ""} onPress={() => put(wears)}>
              Set
            </Button>
          </div>
        </Dialog>
      </Popover>
    </DialogTrigger>
  );
}
