import { useState } from "react";
import { Button, Dialog, Heading, Modal, ModalOverlay, Radio, RadioGroup } from "react-aria-components";
import { counted } from "../../reports/words.ts";
import type { ImportMode, ImportPlan, KindCount } from "../../store/archive/plan-import.ts";
import { kindLabels } from "../../store/archive/read-archive.ts";
import { doImport, dropImport, exchange, exportStore } from "../state/exchange.ts";
import { useStore } from "../state/store.ts";

const columns = [
  ["fresh", "new"],
  ["changed", "replaced"],
  ["same", "same"],
  ["conflicts", "stays as here"],
  ["removed", "goes"],
] as const satisfies readonly (readonly [keyof KindCount, string])[];

/** More lines than this are told as a number. */
const MOST_LINES = 6;

/** What an import would do, in numbers, before it does it. */
export function ImportDialog() {
  const { asked, doing } = useStore(exchange, (value) => value);
  const isBusy = doing !== null;
  return (
    <ModalOverlay
      className="veil"
      isDismissable={!isBusy}
      isOpen={asked !== null}
      onOpenChange={(open) => !open && !isBusy && dropImport()}
    >
      <Modal className="modal wide">
        <Dialog className="dialog">
          <Heading slot="title">Import {asked?.file}</Heading>
          {asked && <Asked asked={asked} />}
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}

/** Both ways, each with what it would do. Replacing is chosen anew for each file. */
function Asked({ asked }: { readonly asked: NonNullable<ReturnType<typeof exchange.get>["asked"]> }) {
  const { doing, done, total } = useStore(exchange, (value) => value);
  const [mode, setMode] = useState<ImportMode>("merge");
  const isBusy = doing !== null;
  const isNothing = asked.plans[mode].batches.length === 0;
  return (
    <>
      <RadioGroup
        className="choices"
        aria-label="How it is imported"
        value={mode}
        onChange={(value) => setMode(value === "replace" ? "replace" : "merge")}
      >
        <Radio value="merge" className="choice">
          <strong>Add it</strong>
          <span>Of two versions of one thing the later one stays.</span>
        </Radio>
        <Radio value="replace" className="choice">
          <strong>Put it in the place of everything here</strong>
          <span>What isn't in the file goes.</span>
        </Radio>
      </RadioGroup>
      <Counts plan={asked.plans[mode]} />
      {mode === "merge" && <Lines title="Stays as it is here" lines={asked.plans.merge.kept} />}
      <Lines title="Can't be read and is left out" lines={asked.archive.refused} />
      <footer>
        {doing === "importing" && (
          <span className="exchange-progress" role="status">
            {done} of {total} written
          </span>
        )}
        {mode === "replace" && (
          <Button className="button" isDisabled={isBusy} onPress={() => void exportStore(null)}>
            Export what is here first
          </Button>
        )}
        <Button className="button" isDisabled={isBusy} onPress={dropImport}>
          Not now
        </Button>
        <Button className="button strong" isDisabled={isBusy || isNothing} onPress={() => void doImport(mode)}>
          {isNothing ? "Nothing to do" : mode === "merge" ? "Add it" : "Replace everything"}
        </Button>
      </footer>
    </>
  );
}

function Counts({ plan }: { readonly plan: ImportPlan }) {
  const rows = plan.counts.filter((row) => columns.some(([key]) => row[key] > 0));
  const shown = columns.filter(([key]) => key === "fresh" || plan.counts.some((row) => row[key] > 0));
  if (rows.length === 0) return <p>There is nothing in it.</p>;
  return (
    <table className="import-counts">
      <thead>
        <tr>
          <th scope="col">What</th>
          {shown.map(([key, words]) => (
            <th key={key} scope="col">
              {words}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.kind}>
            <th scope="row">{kindLabels[row.kind][1]}</th>
            {shown.map(([key]) => (
              <td key={key} className={row[key] === 0 ? "none" : key === "removed" ? "goes" : ""}>
                {row[key]}
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Lines({ title, lines }: { readonly title: string; readonly lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <section className="import-lines">
      <h3>
        {title}: {counted(lines.length, "thing")}
      </h3>
      <ul>
        {lines.slice(0, MOST_LINES).map((line) => (
          <li key={line}>{line}</li>
        ))}
        {lines.length > MOST_LINES && <li>and {lines.length - MOST_LINES} more</li>}
      </ul>
    </section>
  );
}
