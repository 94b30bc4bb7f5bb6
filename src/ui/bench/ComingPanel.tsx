import { useState } from "react";
import { Button } from "react-aria-components";
import type { BenchShot } from "../../reports/bench/holds.ts";
import { readComingShots, readNeeds } from "../../reports/bench/coming-csv.ts";
import { mendBefore } from "../../reports/bench/work-list.ts";
import { dayWords } from "../../reports/dailies/sentences.ts";
import { counted } from "../../reports/words.ts";
import { WordsField } from "../workshop/fields.tsx";
import { addComing, removeComing } from "./bench-data.ts";
import { usePlan } from "./use-bench.ts";

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

function TypeOne() {
  const [name, setName] = useState("");
  const [day, setDay] = useState("");
  const [needs, setNeeds] = useState("");
  const [note, setNote] = useState("");
  const [fault, setFault] = useState<string | null>(null);
  const add = () => {
    if (name.trim() === "") return setFault("Name the shot.");
    addComing([{ name: name.trim(), day: day === "" ? null : day, needs: readNeeds(needs), note: note.trim() }]);
    setName("");
    setNeeds("");
    setNote("");
    setFault(null);
  };
  return (
    <form
      className="repair-form"
      onSubmit={(event) => {
        event.preventDefault();
        add();
      }}
    >
      <div className="repair-when">
        <WordsField label="Shot" value={name} onChange={setName} {...(fault === null ? {} : { fault })} />
        <label className="field">
          <span>Day</span>
          <input type="date" value={day} onChange={(event) => setDay(event.target.value)} />
        </label>
      </div>
      <WordsField label="Puppets, with copies: Oda B; Bee" value={needs} onChange={setNeeds} />
      <WordsField label="Note" value={note} onChange={setNote} />
      <Button className="button strong" type="submit">
        Add the shot
      </Button>
    </form>
  );
}

function PasteMany() {
  const [text, setText] = useState("");
  const [told, setTold] = useState<readonly string[]>([]);
  const take = (csv: string) => {
    const { shots, faults } = readComingShots(csv);
    if (shots.length > 0) addComing(shots);
    setTold([`${counted(shots.length, "shot")} added.`, ...faults.map((fault) => `Not taken: ${fault}.`)]);
    if (faults.length === 0) setText("");
  };
  return (
    <div className="repair-form">
      <WordsField label="CSV: shot, day, puppets, note" value={text} onChange={setText} lines={5} />
      <div className="button-row">
        <Button className="button" isDisabled={text.trim() === ""} onPress={() => take(text)}>
          Add these
        </Button>
        <label className="button file-button">
          From a file
          <input
            type="file"
            accept=".csv,text/csv"
            className="unseen"
            onChange={(event) => {
              const { target } = event;
              void target.files?.[0]?.text().then((csv) => {
                take(csv);
                target.value = "";
              });
            }}
          />
        </label>
      </div>
      <div role="status">
        {told.map((line) => (
          <p key={line} className="bench-about">
            {line}
          </p>
        ))}
      </div>
    </div>
  );
}

/** Shots that are still to be taken: what must be mended first, and which copy to send. */
export function ComingPanel({ shots }: { readonly shots: readonly BenchShot[] }) {
  const { coming } = usePlan(shots);
  return (
    <div className="bench-two">
      <section aria-label="Shots to come">
        <h1>Shots to come</h1>
        <p className="bench-about">
          {coming.length === 0
            ? "None is listed. Once they are, this says what must be mended before which, and which copy to send."
            : "What must be mended before which, and which copy to send: the one with least to mend, then the surest to hold."}
        </p>
        {coming.map((plan) => {
          const mend = mendBefore(plan);
          return (
            <article key={plan.shot.id} className="coming">
              <h2>
                {plan.shot.name}
                <span>{plan.shot.day === null ? "no day yet" : dayWords(plan.shot.day)}</span>
              </h2>
              {plan.needs.map((need) => (
                <p
                  key={`${need.puppet} ${need.copy ?? ""}`}
                  className={need.items.length > 0 ? "coming-mend" : undefined}
                >
                  {capital(need.sentence)}.
                </p>
              ))}
              {plan.needs.length === 0 && <p>It needs no puppet.</p>}
              {plan.needs.length > 0 && mend.length === 0 && (
                <p className="bench-about">Nothing has to be mended first.</p>
              )}
              {plan.shot.note !== "" && <p className="bench-about">{plan.shot.note}</p>}
              <Button className="link story-remove" onPress={() => removeComing(plan.shot)}>
                Remove {plan.shot.name}
              </Button>
            </article>
          );
        })}
      </section>
      <section className="bench-form" aria-label="Add shots">
        <h2>Add a shot</h2>
        <TypeOne />
        <h2>Add many</h2>
        <PasteMany />
      </section>
    </div>
  );
}
