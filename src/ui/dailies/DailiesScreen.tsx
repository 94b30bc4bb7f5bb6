import { useEffect, useMemo } from "react";
import { Button, Checkbox, Menu, MenuItem, MenuTrigger, Popover, Switch } from "react-aria-components";
import type { Dailies, DailiesShot } from "../../reports/dailies/dailies.ts";
import { gatherDailies } from "../../reports/dailies/dailies.ts";
import { departmentLabels, departments } from "../../reports/dailies/department.ts";
import {
  dayWords,
  headline,
  leftOutWords,
  nothingWords,
  shotFacts,
  shotTitle,
  verdictWords,
} from "../../reports/dailies/sentences.ts";
import { openKept } from "../state/open-kept.ts";
import { goToScreen } from "../state/screen.ts";
import { useStore } from "../state/store.ts";
import { Choice } from "../workshop/fields.tsx";
import { dailiesData, followDailies, removeNote } from "./dailies-data.ts";
import { dailiesView, everyState, filterOf, toggleDepartment, toggleVerdict } from "./dailies-state.ts";
import { FindingCard } from "./FindingCard.tsx";
import { NoteForm } from "./NoteForm.tsx";
import { forms, saveDailies } from "./save-dailies.ts";

const isNight = (id: string) => id.startsWith("night:");

async function openShot(id: string): Promise<void> {
  await openKept(id);
  goToScreen("shot");
}

function Shot({ shot }: { readonly shot: DailiesShot }) {
  const { source, findings, notes } = shot;
  return (
    <section className="dailies-shot" aria-label={shotTitle(shot)}>
      <h3>
        {shotTitle(shot)}
        {!isNight(source.id) && (
          <Button className="link" aria-label={`Open ${shotTitle(shot)}`} onPress={() => void openShot(source.id)}>
            Open
          </Button>
        )}
      </h3>
      <p className="dailies-facts">{shotFacts(shot)}</p>
      {findings.length === 0 && <p>{nothingWords(shot)}</p>}
      {findings.map((finding) => (
        <FindingCard key={finding.flag.id} finding={finding} source={source} />
      ))}
      {notes.length > 0 && (
        <ul className="dailies-notes" aria-label={`Notes on ${shotTitle(shot)}`}>
          {notes.map(({ note, part, span }) => (
            <li key={note.id}>
              <span>
                {[
                  ...(span === null
                    ? []
                    : [`frame ${span.from}${span.timecode === null ? "" : ` (${span.timecode[0]})`}`]),
                  ...(part === null ? [] : [part.name]),
                ].join(", ") || "whole shot"}
              </span>{" "}
              {note.text}
              {note.who !== "" && <span> {note.who}</span>}{" "}
              <Button className="link" aria-label={`Remove the note: ${note.text}`} onPress={() => removeNote(note)}>
                Remove
              </Button>
            </li>
          ))}
        </ul>
      )}
      {leftOutWords(shot).map((line) => (
        <p key={line} className="dailies-left">
          {line}
        </p>
      ))}
      {!isNight(source.id) && <NoteForm shot={shot} />}
    </section>
  );
}

function SaveMenu({ dailies }: { readonly dailies: Dailies }) {
  return (
    <MenuTrigger>
      <Button className="button" isDisabled={dailies.days.length === 0}>
        Save as
      </Button>
      <Popover className="menu-popover" placement="top start">
        <Menu
          className="menu"
          aria-label="Save the notes as"
          onAction={(key) => {
            const form = forms.find(({ id }) => id === key);
            if (form) void saveDailies(dailies, form.id);
          }}
        >
          {forms.map(({ id, label }) => (
            <MenuItem key={id} id={id} className="menu-item">
              {label}
            </MenuItem>
          ))}
        </Menu>
      </Popover>
    </MenuTrigger>
  );
}

function Filters() {
  const { day, wholeShot, without } = useStore(dailiesView, (value) => value);
  const days = useStore(dailiesData, (value) => value.days);
  const shown = useStore(dailiesData, (value) => value.day);
  const value = day === "all" ? "all" : shown === null ? "unknown" : (shown ?? "all");
  return (
    <div className="dailies-filters">
      <Choice
        label="Shooting day"
        value={value}
        options={[
          ...days.map((each) => [each ?? "unknown", each === null ? "not known" : dayWords(each)] as const),
          ["all", "every day"] as const,
        ]}
        onChange={(each) => dailiesView.set({ day: each })}
      />
      <Switch className="switch" isSelected={wholeShot} onChange={(on) => dailiesView.set({ wholeShot: on })}>
        <span className="switch-track" aria-hidden="true" />
        Outside the cut too
      </Switch>
      <fieldset className="field-group">
        <legend>Verdict</legend>
        {everyState.map((state) => (
          <Checkbox
            key={state}
            className="dailies-tick"
            isSelected={!without.verdicts.has(state)}
            onChange={() => toggleVerdict(state)}
          >
            <span className="dailies-tick-box" aria-hidden="true" />
            {verdictWords(state)}
          </Checkbox>
        ))}
      </fieldset>
      <fieldset className="field-group">
        <legend>Department</legend>
        {departments.map((each) => (
          <Checkbox
            key={each}
            className="dailies-tick"
            isSelected={!without.departments.has(each)}
            onChange={() => toggleDepartment(each)}
          >
            <span className="dailies-tick-box" aria-hidden="true" />
            {departmentLabels[each]}
          </Checkbox>
        ))}
      </fieldset>
    </div>
  );
}

/** The notes page: what was found, by shooting day and shot, and what people decided. */
export function DailiesScreen() {
  const { wholeShot, without } = useStore(dailiesView, (value) => value);
  const { sources, phase, day } = useStore(dailiesData, (value) => value);
  const all = useMemo(
    () => gatherDailies(sources, filterOf({ wholeShot, without }, departments)),
    [sources, wholeShot, without],
  );
  // A shot that went on over midnight is listed on the day that was asked for alone.
  const dailies = useMemo(
    () => (day === undefined ? all : { ...all, days: all.days.filter((each) => each.day === day) }),
    [all, day],
  );
  useEffect(followDailies, []);
  return (
    <div className="dailies">
      <div className="dailies-side">
        <Filters />
        <div className="dailies-tools">
          <SaveMenu dailies={dailies} />
          <Button className="button" onPress={() => window.print()}>
            Print
          </Button>
        </div>
      </div>
      {/* It scrolls, so that the keyboard has to reach it. */}
      {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex */}
      <section className="dailies-page" aria-label="Notes" tabIndex={0}>
        <h1>Dailies</h1>
        {phase === "asking" ? (
          <p role="status">Reading what is kept</p>
        ) : sources.length === 0 ? (
          <p>Nothing is kept yet. Check a shot, or take the report files of a night run on the bench.</p>
        ) : (
          <p className="dailies-headline">{headline(dailies)}</p>
        )}
        {dailies.days.map((each) => (
          <section key={each.day ?? "unknown"}>
            <h2>{dayWords(each.day)}</h2>
            {each.shots.map((shot) => (
              <Shot key={shot.source.id} shot={shot} />
            ))}
          </section>
        ))}
      </section>
    </div>
  );
}
