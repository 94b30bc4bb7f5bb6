import { useMemo } from "react";
import { Button } from "react-aria-components";
import type { Flag, Report } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { Key } from "../frame/ActionButton.tsx";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { openCauses } from "./open.ts";
import { questionOf, ranked } from "./question.ts";
import { workshop } from "./workshop-state.ts";

/** The likeliest cause of a finding in a sentence, and the way to all of them. */
export function FlagCauses({ flag, report }: { readonly flag: Flag; readonly report: Report }) {
  const sheet = useStore(session, (value) => value.sheet);
  const own = useStore(workshop, (value) => value.own);
  const first = useMemo(() => ranked(questionOf(flag, report, sheet), own).ranked[0], [flag, report, sheet, own]);
  if (first === undefined) return null;
  return (
    <p className="flag-causes">
      <span>Look first:</span> {first.cause.title.charAt(0).toLowerCase()}
      {first.cause.title.slice(1)}.{" "}
      <Button className="link" onPress={() => openCauses(flag.id)}>
        Causes and fixes
      </Button>{" "}
      <Key action={actions.workshop} />
    </p>
  );
}
