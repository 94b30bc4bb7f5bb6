import { useState } from "react";
import { Button, Input, TextField } from "react-aria-components";
import type { Production } from "../../model/index.ts";
import { keep, sawRevision } from "../state/keeping.ts";
import { readKept } from "../state/storage.ts";

async function rename(id: string, name: string): Promise<void> {
  const there = await readKept("production", id);
  if (there === null) return;
  sawRevision("production", id, there.revision);
  keep("production", { ...there.value, name, changed: new Date().toISOString() }, `the production ${name}`);
}

/** The name of a production, which can be written over. */
export function ProductionName({ production }: { readonly production: Production }) {
  const [draft, setDraft] = useState<string | null>(null);
  if (draft === null) {
    return (
      <h3>
        {production.name}
        <Button
          className="link"
          aria-label={`Rename the production ${production.name}`}
          onPress={() => setDraft(production.name)}
        >
          Rename
        </Button>
      </h3>
    );
  }
  const done = () => {
    const name = draft.trim();
    if (name !== "" && name !== production.name) void rename(production.id, name);
    setDraft(null);
  };
  return (
    <TextField
      className="field"
      aria-label="Name of the production"
      value={draft}
      onChange={setDraft}
      onBlur={done}
      onKeyDown={(event) => {
        if (event.key === "Enter") done();
      }}
      // It was asked for by a press: whoever pressed wants to type.
      // oxlint-disable-next-line jsx-a11y/no-autofocus
      autoFocus
    >
      <Input autoComplete="off" />
    </TextField>
  );
}
