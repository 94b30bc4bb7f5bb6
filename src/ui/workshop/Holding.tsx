import type { Flag, Report } from "../../model/index.ts";
import type { Chain } from "../../workshop/joint-load/chain.ts";
import {
  creepOfTest,
  type CreepPoint,
  creepUnder,
  type HangTest,
  hangTestFaults,
  hangTestMoment,
  provenLoad,
} from "../../workshop/joint-load/hang-test.ts";
import { creepOfFlag } from "../../workshop/joint-load/measured-creep.ts";
import type { JointLoad } from "../../workshop/joint-load/moments.ts";
import {
  breakAway,
  type ClampedBall,
  clampedBallFaults,
  frictionPairs,
  stripWarning,
  threads,
  threadStates,
} from "../../workshop/joint-load/screw.ts";
import { type WayOut, waysOut } from "../../workshop/joint-load/ways-out.ts";
import { rangeWords } from "../../workshop/words.ts";
import { shownIn, unitOf } from "../../workshop/quantities.ts";
import { useStore } from "../state/store.ts";
import { FieldChoice, Faults, Group, NumberField, numberIn, useWords } from "./fields.tsx";
import { workshop } from "./workshop-state.ts";

const tests = ["1", "2"] as const;

/** A hang test as it was typed; null where its weight is left empty. */
function testOf(fields: Readonly<Record<string, string>>, linkId: string, n: string, load: JointLoad): HangTest | null {
  const name = (what: string) => `hold.${linkId}.${n}.${what}`;
  if ((fields[name("weight")] ?? "").trim() === "") return null;
  const withLimb = (fields[name("limb")] ?? "on") === "on";
  return {
    weightGrams: numberIn(fields, name("weight"), ""),
    distanceMm: numberIn(fields, name("distance"), "100"),
    limbGrams: withLimb ? (load.beyondGrams ?? 0) : 0,
    limbCentreMm: withLimb ? (load.armMm ?? 0) : 0,
    minutes: numberIn(fields, name("minutes"), "60"),
    degrees: numberIn(fields, name("degrees"), "0"),
    seenFromDegrees: 0.25,
  };
}

function TestFields({
  linkId,
  n,
  test,
}: {
  readonly linkId: string;
  readonly n: string;
  readonly test: HangTest | null;
}) {
  const words = useWords();
  const faults = test === null ? [] : hangTestFaults(test);
  const name = (what: string) => `hold.${linkId}.${n}.${what}`;
  return (
    <Faults.Provider value={faults}>
      <Group title={`Hang test ${n}`}>
        <NumberField name={name("weight")} label="Weight hung on" quantity="mass" initial="" fault="weight" />
        <NumberField
          name={name("distance")}
          label="Distance from the joint"
          quantity="length"
          initial="100"
          fault="distance"
        />
        <NumberField name={name("minutes")} label="Time" quantity="minutes" initial="60" fault="minutes" />
        <NumberField name={name("degrees")} label="Turned by then" quantity="angle" initial="0" fault="degrees" />
        <FieldChoice
          name={name("limb")}
          label="The limb"
          initial="on"
          options={[
            ["on", "stayed on, level"],
            ["off", "was taken off"],
          ]}
        />
        {test !== null && faults.length === 0 && (
          <p className="field-result">{words(hangTestMoment(test), "moment")} on the joint</p>
        )}
      </Group>
    </Faults.Provider>
  );
}

function ScrewEstimate() {
  const fields = useStore(workshop, (value) => value.fields);
  const units = useStore(workshop, (value) => value.units);
  const ball: ClampedBall = {
    torqueNmm: numberIn(fields, "screw.torque", "150"),
    thread: (fields["screw.thread"] ?? "M2") as ClampedBall["thread"],
    state: (fields["screw.state"] ?? "black") as ClampedBall["state"],
    pair: (fields["screw.pair"] ?? "steel-steel") as ClampedBall["pair"],
    ballMm: numberIn(fields, "screw.ball", "6"),
    holeMm: numberIn(fields, "screw.hole", "4"),
    ballsAScrew: fields["screw.balls"] === "1" ? 1 : 2,
  };
  const faults = clampedBallFaults(ball);
  const answer = faults.length === 0 ? breakAway(ball) : null;
  const shown = (value: number) => shownIn(value, "moment", units);
  return (
    <Faults.Provider value={faults}>
      <Group title="From screw and friction: a wide range">
        <NumberField name="screw.torque" label="Torque of the screw" quantity="moment" initial="150" fault="torque" />
        <FieldChoice
          name="screw.thread"
          label="Thread"
          initial="M2"
          options={Object.keys(threads).map((id) => [id, id])}
        />
        <FieldChoice
          name="screw.state"
          label="Screw"
          initial="black"
          options={Object.entries(threadStates).map(([id, { label }]) => [id, label])}
        />
        <FieldChoice
          name="screw.pair"
          label="Ball and plates"
          initial="steel-steel"
          options={Object.entries(frictionPairs).map(([id, { label }]) => [id, label])}
        />
        <NumberField name="screw.ball" label="Ball" quantity="length" initial="6" fault="ball" />
        <NumberField name="screw.hole" label="Seat" quantity="length" initial="4" fault="hole" />
        <FieldChoice
          name="screw.balls"
          label="Balls a screw"
          initial="2"
          options={[
            ["2", "two"],
            ["1", "one"],
          ]}
        />
        <p className="field-result wide">
          {answer !== null &&
            `Would give way somewhere between ${rangeWords(shown(answer.momentNmm.low), shown(answer.momentNmm.high), unitOf("moment", units))}. `}
          {stripWarning}
        </p>
      </Group>
    </Faults.Provider>
  );
}

/** What a joint can hold, from tests and from the sag itself, and the ways out. */
export function Holding({
  chain,
  linkId,
  load,
  flag,
  report,
}: {
  readonly chain: Chain;
  readonly linkId: string;
  readonly load: JointLoad;
  readonly flag: Flag | null;
  readonly report: Report | null;
}) {
  const fields = useStore(workshop, (value) => value.fields);
  const words = useWords();
  const now = load.momentNmm?.value ?? 0;
  const hung = tests.map((n) => testOf(fields, linkId, n, load));
  const points: CreepPoint[] = hung.flatMap((test) =>
    test === null || hangTestFaults(test).length > 0 ? [] : [creepOfTest(test)],
  );
  const creep =
    flag !== null && report !== null && flag.kind === "sag" && flag.joint === load.jointId
      ? creepOfFlag(flag, report)
      : null;
  const sag: CreepPoint | null =
    creep !== null && "degreesPerHour" in creep
      ? {
          momentNmm: now,
          source: "measured-sag",
          degreesPerHour: {
            low: Math.max(0, creep.degreesPerHour.value - 2 * creep.degreesPerHour.sigma),
            high: creep.degreesPerHour.value + 2 * creep.degreesPerHour.sigma,
          },
        }
      : null;
  const targetField = `hold.${linkId}.target`;
  const allowed = numberIn(fields, "hold.allowed", "0.1");
  const bounds = creepUnder(points, now);
  const proven = Number.isFinite(allowed) ? provenLoad([...points, ...(sag === null ? [] : [sag])], allowed) : null;
  const target =
    (fields[targetField] ?? "").trim() === ""
      ? proven !== null && proven < now
        ? proven
        : 0.7 * now
      : numberIn(fields, targetField, "");
  const ball = numberIn(fields, "hold.ball", "6");
  const ways =
    Number.isFinite(target) && target >= 0
      ? waysOut(chain, linkId, target, Number.isFinite(ball) && ball > 0 ? ball : null)
      : [];
  const targetFaults = target < 0 ? [{ field: targetField, sentence: "A load can't be less than 0." }] : [];
  return (
    <>
      <h2>What it can hold</h2>
      <p>
        {points.length === 0
          ? "Not known yet. Do a hang test on the bench, never on the set: a known weight at a known distance, limb level, and the time until it has turned by a degree."
          : `Under the load of this pose: ${[
              bounds.atLeast !== null && bounds.atLeast > 0 ? `at least ${words(bounds.atLeast, "speed")}` : "",
              bounds.atMost === null
                ? "no test was as heavy, so nothing is promised"
                : `at most ${words(bounds.atMost, "speed")}`,
              bounds.likely === null ? "" : `likely about ${words(bounds.likely, "speed")}`,
            ]
              .filter((each) => each !== "")
              .join("; ")}.`}
      </p>
      <div className="hold-fields">
        {tests.map((n, i) => (
          <TestFields key={n} linkId={linkId} n={n} test={hung[i]} />
        ))}
        <ScrewEstimate />
      </div>
      <h2>Ways out</h2>
      <Faults.Provider value={targetFaults}>
        <div className="row-fields">
          <NumberField name="hold.allowed" label="Creep that the shot can bear" quantity="speed" initial="0.1" />
          <NumberField
            name={targetField}
            label="Bring the load down to"
            quantity="moment"
            initial=""
            note={`Left empty: ${words(target, "moment")}, ${proven !== null && proven < now ? "which is proven" : "seven tenths of what it bears"}`}
          />
          <NumberField name="hold.ball" label="Ball that is there" quantity="length" initial="6" />
        </div>
      </Faults.Provider>
      {ways.length === 0 ? (
        <p>{target >= now ? "The load is no more than that already." : "No single change does it; combine them."}</p>
      ) : (
        <>
          <p>Each of these alone would do:</p>
          <ul className="ways">
            {ways.map((way) => (
              <li key={`${way.way}${"link" in way ? way.link : ""}`}>
                <WayWords way={way} chain={chain} />
              </li>
            ))}
          </ul>
        </>
      )}
    </>
  );
}

function WayWords({ way, chain }: { readonly way: WayOut; readonly chain: Chain }) {
  const words = useWords();
  const nameOf = (id: string) => (chain.links.find((link) => link.id === id)?.name ?? id).toLowerCase();
  switch (way.way) {
    case "lighten":
      return `Lighten the ${nameOf(way.link)} by ${words(way.grams, "mass")} of its ${words(way.ofGrams, "mass")}.`;
    case "shorten":
      return `Shorten the ${nameOf(way.link)} by ${words(way.mm, "length")} of its ${words(way.ofMm, "length")}.`;
    case "support":
      return `A support under the ${nameOf(way.link)}, ${words(way.fromJointMm, "length")} out, that bears ${words(way.carriesGrams, "mass")}.`;
    case "larger-ball":
      return way.mm === null
        ? `A ball of ${words(way.atLeastMm, "length")} or more at the same screw force: larger than is usual.`
        : `A ball of ${words(way.mm, "length")} at the same screw force (${words(way.atLeastMm, "length")} at least).`;
    case "tension":
      return `${way.times.toFixed(2)} times the grip that it has, in the order of the chain, between shots.`;
  }
}
