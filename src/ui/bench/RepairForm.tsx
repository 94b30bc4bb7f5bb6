import { useMemo, useState } from "react";
import { Button } from "react-aria-components";
import type { BenchShot } from "../../reports/bench/holds.ts";
import { partWords, readable } from "../../reports/bench/words.ts";
import { builtIn } from "../../workshop/built-in.ts";
import { settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { Choice, WordsField } from "../workshop/fields.tsx";
import { addRepair } from "./bench-data.ts";

export interface RepairPlace {
  readonly puppet: string | null;
  readonly copy: string | null;
  readonly part: string;
}

/** Local time to the minute, as a field for it wants it. */
const nowHere = (): string => {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);
};

const keyOf = ({ puppet, copy, part }: RepairPlace): string => JSON.stringify([puppet, copy, part]);

/** Parts that were seen, each once. */
function partsOf(shots: readonly BenchShot[]): ReadonlyMap<string, RepairPlace & { readonly name: string }> {
  const parts = new Map<string, RepairPlace & { readonly name: string }>();
  for (const { holds } of shots)
    for (const { puppet, copy, part, name } of holds)
      parts.set(keyOf({ puppet, copy, part }), { puppet, copy, part, name });
  return parts;
}

const jointsOf = (shots: readonly BenchShot[], { puppet, part }: RepairPlace): readonly string[] => {
  const joints = shots.flatMap(({ holds }) =>
    holds
      .filter((hold) => hold.part === part && hold.puppet === puppet)
      .flatMap(({ flags }) => flags.flatMap(({ joint }) => joint ?? [])),
  );
  return [...new Set(joints)];
};

/** Logs what was done to a part: which fix, when, by whom. */
export function RepairForm({
  shots,
  start = null,
  onDone,
}: {
  readonly shots: readonly BenchShot[];
  /** The part that it is of; null: it is chosen here. */
  readonly start?: RepairPlace | null;
  readonly onDone?: () => void;
}) {
  const parts = useMemo(() => partsOf(shots), [shots]);
  const known = useStore(settings, ({ who }) => who);
  const first = start ?? [...parts.values()][0] ?? null;
  const [place, setPlace] = useState(first === null ? "" : keyOf(first));
  const [joint, setJoint] = useState("");
  const [fix, setFix] = useState("");
  const [what, setWhat] = useState("");
  const [done, setDone] = useState(nowHere);
  const [who, setWho] = useState(known);
  const [fault, setFault] = useState<string | null>(null);
  const chosen = parts.get(place) ?? start;
  if (chosen === null) return <p className="bench-about">Parts can be chosen once a shot was checked.</p>;
  const joints = jointsOf(shots, chosen);
  const log = () => {
    if (what.trim() === "" && fix === "") return setFault("Say what was done, or choose a fix.");
    if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}/u.test(done)) return setFault("Say when it was done.");
    const { puppet, copy, part } = chosen;
    addRepair({
      puppet,
      copy,
      part,
      joint: joint === "" ? null : joint,
      fix: fix === "" ? null : fix,
      what: what.trim(),
      who: who.trim(),
      done: done.slice(0, 16),
    });
    settings.set({ who: who.trim() });
    setWhat("");
    setFix("");
    setFault(null);
    onDone?.();
  };
  return (
    <form
      className="repair-form"
      onSubmit={(event) => {
        event.preventDefault();
        log();
      }}
    >
      {start === null && (
        <Choice
          label="Part"
          value={place}
          options={[...parts].map(([key, part]) => [key, partWords(part.name, part.puppet, part.copy)] as const)}
          onChange={(key) => {
            setPlace(key);
            setJoint("");
          }}
        />
      )}
      <WordsField label="What was done" value={what} onChange={setWhat} />
      <Choice
        label="Fix of the workshop"
        value={fix}
        options={[["", "none of them"] as const, ...builtIn.fixes.map(({ id, title }) => [id, title] as const)]}
        onChange={setFix}
      />
      {joints.length > 0 && (
        <Choice
          label="Joint"
          value={joint}
          options={[["", "not one joint"] as const, ...joints.map((id) => [id, readable(id)] as const)]}
          onChange={setJoint}
        />
      )}
      <div className="repair-when">
        <label className="field">
          <span>When, local time</span>
          <input type="datetime-local" value={done} onChange={(event) => setDone(event.target.value)} />
        </label>
        <WordsField label="Initials" value={who} onChange={setWho} />
      </div>
      {fault !== null && (
        <p className="field-fault" role="alert">
          {fault}
        </p>
      )}
      <div className="button-row">
        <Button className="button strong" type="submit">
          Log it
        </Button>
        {onDone !== undefined && (
          <Button className="button" onPress={onDone}>
            Not now
          </Button>
        )}
      </div>
    </form>
  );
}
