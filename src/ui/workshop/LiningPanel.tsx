import { scaleLinear } from "d3-scale";
import type { Cloth } from "../../workshop/lining/cantilever.ts";
import {
  type Candidate,
  type CandidateAnswer,
  chooseLining,
  type LiningAnswer,
  type LiningInput,
  liningFaults,
} from "../../workshop/lining/choice.ts";
import { shownIn, unitOf } from "../../workshop/quantities.ts";
import { cautions, cautionsDefer } from "../../workshop/cautions.ts";
import { useStore } from "../state/store.ts";
import { Faults, Group, NumberField, numberIn, useField, useWords, WordsField } from "./fields.tsx";
import { setField, workshop } from "./workshop-state.ts";

type Fields = Readonly<Record<string, string>>;

const starts = {
  shell: { overhang: "22", weight: "140", thickness: "0.35", recovery: "95" },
  "1": { name: "Cotton lawn", overhang: "26", weight: "70", thickness: "0.15", recovery: "130", both: "" },
  "2": { name: "Silk organza", overhang: "45", weight: "35", thickness: "0.1", recovery: "160", both: "" },
  "3": { name: "Canvas", overhang: "60", weight: "220", thickness: "0.5", recovery: "150", both: "" },
} as const;
const linings = ["1", "2", "3"] as const;

const clothOf = (fields: Fields, id: keyof typeof starts): Cloth => ({
  overhangMm: numberIn(fields, `lining.${id}.overhang`, starts[id].overhang),
  overhangSigmaMm: 1,
  weightGsm: numberIn(fields, `lining.${id}.weight`, starts[id].weight),
  thicknessMm: numberIn(fields, `lining.${id}.thickness`, starts[id].thickness),
});

function inputOf(fields: Fields): LiningInput {
  const shell = clothOf(fields, "shell");
  return {
    scale: 1 / numberIn(fields, "lining.scale", "6"),
    shell,
    shellRecoveryDegrees: numberIn(fields, "lining.shell.recovery", starts.shell.recovery),
    fullSizeBendingMm: numberIn(fields, "lining.full", "150") / 2,
    tolerance: numberIn(fields, "lining.tolerance", "25") / 100,
    wantedRecoveryDegrees: numberIn(fields, "lining.wanted", "110"),
    candidates: linings.map((id): Candidate => {
      const cloth = clothOf(fields, id);
      const both = (fields[`lining.${id}.both`] ?? "").trim();
      return {
        id,
        name: fields[`lining.${id}.name`] ?? starts[id].name,
        cloth,
        recoveryDegrees: numberIn(fields, `lining.${id}.recovery`, starts[id].recovery),
        both:
          both === ""
            ? null
            : {
                overhangMm: numberIn(fields, `lining.${id}.both`, ""),
                overhangSigmaMm: 1,
                weightGsm: shell.weightGsm + cloth.weightGsm,
                thicknessMm: shell.thicknessMm + cloth.thicknessMm,
              },
      };
    }),
    bend: { limbMm: numberIn(fields, "lining.limb", "22"), degrees: numberIn(fields, "lining.bend", "90") },
  };
}

function ClothFields({ id, path }: { readonly id: keyof typeof starts; readonly path: string }) {
  const name = (what: string) => `lining.${id}.${what}`;
  const start = starts[id];
  return (
    <>
      <NumberField
        name={name("overhang")}
        label="Overhang at 41.5°"
        quantity="length"
        initial={start.overhang}
        fault={`${path}.overhang`}
      />
      <NumberField
        name={name("weight")}
        label="Weight"
        quantity="areaWeight"
        initial={start.weight}
        fault={`${path}.weight`}
      />
      <NumberField
        name={name("thickness")}
        label="Thickness"
        quantity="length"
        initial={start.thickness}
        fault={`${path}.thickness`}
      />
      <NumberField
        name={name("recovery")}
        label="Opens again after a fold"
        quantity="angle"
        initial={start.recovery}
        fault={id === "shell" ? "shellRecovery" : `${path}.recovery`}
      />
    </>
  );
}

function LiningFields({ id }: { readonly id: (typeof linings)[number] }) {
  const name = useField(`lining.${id}.name`, starts[id].name);
  return (
    <Group title={`Lining ${id}: ${name}`}>
      <WordsField label="Name" value={name} onChange={(value) => setField(`lining.${id}.name`, value)} />
      <ClothFields id={id} path={`candidates.${id}`} />
      <NumberField
        name={`lining.${id}.both`}
        label="Overhang of both, as sewn"
        quantity="length"
        initial=""
        fault={`candidates.${id}.both.overhang`}
        note="Left empty: bounds alone"
      />
    </Group>
  );
}

const foldWords: Readonly<Record<CandidateAnswer["folds"], string>> = {
  folds: "folds small enough",
  "folds-if-it-slides": "folds small enough if the layers can slide, not if they are bonded",
  "too-stiff": "is too stiff to fold small enough",
  "too-limp": "is too limp: it would hang like thinner cloth",
};

/** Bending lengths against what is wanted, each pair as a bar from sliding to bonded. */
function Bars({ answer, tolerance }: { readonly answer: LiningAnswer; readonly tolerance: number }) {
  const words = useWords();
  const units = useStore(workshop, (value) => value.units);
  const rows = [{ id: "shell", name: "Shell alone", low: answer.shellMm, high: answer.shellMm, does: false }].concat(
    answer.candidates.map(({ id, name, bendingMm, does }) => ({ id, name, ...bendingMm, does })),
  );
  const most = 1.1 * Math.max(answer.wantedMm * (1 + tolerance), ...rows.map(({ high }) => high));
  const x = (mm: number) => 150 + (450 * mm) / most;
  const bottom = 24 + 28 * rows.length;
  const height = bottom + 42;
  // In the units of the screen, at round numbers of them.
  const unit = shownIn(1, "length", units);
  const ticks = scaleLinear([0, most * unit], [0, 1])
    .ticks(6)
    .map((tick) => ({ tick, at: x(tick / unit) }));
  return (
    <svg
      className="bars"
      viewBox={`0 0 620 ${height}`}
      role="img"
      aria-label={`Bending lengths: wanted ${words(answer.wantedMm, "length")}; ${rows.map(({ name, low, high }) => `${name} ${words(low, "length")}${low === high ? "" : ` to ${words(high, "length")}`}`).join("; ")}.`}
    >
      <rect
        className="bars-wanted"
        x={x(answer.wantedMm * (1 - tolerance))}
        y={16}
        width={x(answer.wantedMm * (1 + tolerance)) - x(answer.wantedMm * (1 - tolerance))}
        height={bottom - 16}
      />
      <line className="bars-line" x1={x(answer.wantedMm)} x2={x(answer.wantedMm)} y1={16} y2={bottom} />
      <text x={x(answer.wantedMm)} y={11} textAnchor="middle">
        wanted {words(answer.wantedMm, "length")}
      </text>
      <line className="bars-axis" x1={x(0)} x2={x(most)} y1={bottom} y2={bottom} />
      {ticks.map(({ tick, at }) => (
        <g key={tick} transform={`translate(${at} ${bottom})`}>
          <line className="bars-axis" y2={4} />
          <text y={16} textAnchor="middle">
            {tick}
          </text>
        </g>
      ))}
      <text x={x(most / 2)} y={bottom + 34} textAnchor="middle">
        bending length, {unitOf("length", units)}; bars from sliding layers to bonded ones
      </text>
      {rows.map(({ id, name, low, high, does }, i) => (
        <g key={id} transform={`translate(0 ${34 + 28 * i})`}>
          <text x={140} y={4} textAnchor="end">
            {name}
          </text>
          <rect
            className={does ? "bars-bar does" : "bars-bar"}
            x={x(low) - 2}
            y={-5}
            width={Math.max(4, x(high) - x(low) + 4)}
            height={10}
          />
        </g>
      ))}
    </svg>
  );
}

function Result({ answer, input }: { readonly answer: LiningAnswer; readonly input: LiningInput }) {
  const words = useWords();
  const range = ({ low, high }: { readonly low: number; readonly high: number }) =>
    low === high ? words(low, "length") : `${words(low, "length")} (sliding) to ${words(high, "length")} (bonded)`;
  const [best] = answer.candidates;
  return (
    <div className="sum-result printed">
      <h1 aria-live="polite">
        {best !== undefined && best.does
          ? `${best.name} ${foldWords[best.folds]}, and brings the cloth back`
          : "None of these linings does both"}
      </h1>
      <p>
        The shell bends like a real cloth of {words(answer.shellLikeFullSizeMm, "length")} bending length would on a
        person; wanted is {words(input.fullSizeBendingMm, "length")}, which is {words(answer.wantedMm, "length")} at the
        puppet's scale.
      </p>
      <Bars answer={answer} tolerance={input.tolerance} />
      <ul className="ways">
        {answer.candidates.map((each) => (
          <li key={each.id}>
            <strong>{each.name}</strong> {foldWords[each.folds]}: bending length of the pair {range(each.bendingMm)},
            like a real cloth of {range(each.likeFullSizeMm)}. It {each.comesBack ? "comes" : "does not come"} back: the
            pair opens to about {words(each.recoveryDegrees, "angle")} of 180°
            {each.bondShare !== null &&
              `; as sewn it lies at ${Math.round(100 * each.bondShare)} % of the way from sliding to bonded`}
            .
          </li>
        ))}
      </ul>
      {answer.opening !== null && (
        <p>
          At the bend about {words(answer.opening.surplusMm, "length")} of cloth have to fold on the inside. Take the
          lining out over {words(answer.opening.lengthMm, "length")}, centred on the crease, so that the shell folds
          alone, at about {words(answer.opening.foldMm, "length")}.
        </p>
      )}
      <p className="basis">
        The figures that stand here to begin with are an example: test your own cloth. The cantilever test is Peirce's
        (1930) and that of ASTM D1388. How far a pair opens again is a rough figure, each layer weighed by its
        stiffness: fold the sewn pair and look.
      </p>
      <section className="cautions">
        <h2>Mind</h2>
        <ul>
          <li>{cautions.blades}</li>
          <li>{cautions.lacquer}</li>
        </ul>
        <p>{cautionsDefer}</p>
      </section>
    </div>
  );
}

/** Which lining lets the cloth fold small enough and still brings it back, and where to open it. */
export function LiningPanel() {
  const fields = useStore(workshop, (value) => value.fields);
  const input = inputOf(fields);
  const scale = numberIn(fields, "lining.scale", "6");
  const faults = [
    ...(scale >= 1 ? [] : [{ field: "lining.scale", sentence: "The puppet must be smaller than life: 1 or more." }]),
    ...liningFaults(input).filter(({ field }) => field !== "scale"),
  ];
  return (
    <Faults.Provider value={faults}>
      <div className="sum">
        <div className="sum-fields">
          <Group title="The look">
            <NumberField
              name="lining.scale"
              label="Life size is so many times the puppet"
              quantity="ratio"
              initial="6"
            />
            <NumberField
              name="lining.full"
              label="Overhang of the real cloth"
              quantity="length"
              initial="150"
              fault="fullSize"
              note="The cloth that it is to look like, tested alike"
            />
            <NumberField
              name="lining.tolerance"
              label="Taken for the same within"
              quantity="percent"
              initial="25"
              fault="tolerance"
            />
            <NumberField
              name="lining.wanted"
              label="A fold is gone from"
              quantity="angle"
              initial="110"
              fault="wantedRecovery"
            />
          </Group>
          <Group title="Shell">
            <ClothFields id="shell" path="shell" />
          </Group>
          {linings.map((id) => (
            <LiningFields key={id} id={id} />
          ))}
          <Group title="The bend">
            <NumberField name="lining.limb" label="Thickness of the limb" quantity="length" initial="22" fault="limb" />
            <NumberField name="lining.bend" label="Furthest bend" quantity="angle" initial="90" fault="bend" />
          </Group>
        </div>
        {faults.length > 0 ? (
          <div className="sum-result">
            <h1 aria-live="polite">These figures can't be</h1>
            <ul className="reasons">
              {faults.map(({ field, sentence }) => (
                <li key={field}>{sentence}</li>
              ))}
            </ul>
          </div>
        ) : (
          <Result answer={chooseLining(input)} input={input} />
        )}
      </div>
    </Faults.Provider>
  );
}
