import { useMemo } from "react";
import { flagKindLabels, type Flag, type Report } from "../../model/index.ts";
import { cautions, cautionsDefer } from "../../workshop/cautions.ts";
import { branchOf, type Chain } from "../../workshop/joint-load/chain.ts";
import { creepOfFlag } from "../../workshop/joint-load/measured-creep.ts";
import { jointLoads } from "../../workshop/joint-load/moments.ts";
import { type FrameLoads, worstFrame } from "../../workshop/joint-load/poses.ts";
import { tensionOrder } from "../../workshop/joint-load/ways-out.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { ChainDrawing } from "./ChainDrawing.tsx";
import { ChainFields } from "./ChainFields.tsx";
import { Choice, Faults, useWords } from "./fields.tsx";
import { Holding } from "./Holding.tsx";
import { BY_HAND, linkOfFlag, loadSum } from "./load-state.ts";
import { setField, workshop } from "./workshop-state.ts";

/** Moments by frame, as a small trace. */
function ByFrame({ frames, linkId }: { readonly frames: readonly FrameLoads[]; readonly linkId: string }) {
  const words = useWords();
  const values = frames.map(({ frame, loads }) => ({
    frame,
    moment: loads.find((load) => load.linkId === linkId)?.momentNmm?.value ?? null,
  }));
  const told = values.filter(({ moment }) => moment !== null);
  if (told.length < 2) return null;
  const most = Math.max(...told.map(({ moment }) => moment ?? 0), 1e-9);
  const [first, last] = [frames[0].frame, frames[frames.length - 1].frame];
  const x = (frame: number) => 8 + (604 * (frame - first)) / Math.max(1, last - first);
  const y = (moment: number) => 46 - (38 * moment) / (1.1 * most);
  const least = Math.min(...told.map(({ moment }) => moment ?? 0));
  return (
    <figure className="by-frame">
      <svg
        viewBox="0 0 620 50"
        role="img"
        aria-label={`Moment by frame, from ${words(least, "moment")} to ${words(most, "moment")}.`}
      >
        <line className="trace-zero" x1="8" x2="612" y1="46" y2="46" />
        <path
          className="trace-line"
          d={told
            .map(({ frame, moment }, i) => `${i === 0 ? "M" : "L"}${x(frame).toFixed(1)} ${y(moment ?? 0).toFixed(1)}`)
            .join("")}
        />
      </svg>
      <figcaption>
        Moment by frame, {first} to {last}: {words(least, "moment")} to {words(most, "moment")}
        {told.length < values.length &&
          `; not told in ${values.length - told.length} frames, where a part could not be followed`}
      </figcaption>
    </figure>
  );
}

/** What the shot itself says: turned so far under this load. Never a limit. */
function MeasuredSag({
  flag,
  report,
  momentWords,
}: {
  readonly flag: Flag;
  readonly report: Report;
  readonly momentWords: string;
}) {
  const words = useWords();
  const creep = creepOfFlag(flag, report);
  if (!("degreesPerHour" in creep)) return <p>How fast it turned is not told. {creep.why}</p>;
  const { value, sigma } = creep.degreesPerHour;
  return (
    <p>
      In this shot it turned {words(creep.degrees, "angle")} in {words(creep.hours, "hours")} under {momentWords}: by a
      straight line through its frames {words(value, "speed", sigma)}. A joint creeps below the load at which it gives
      way, so this is no limit.
    </p>
  );
}

/** True for what carries several limbs: how it stands in this shot says little of what its joint must hold. */
const isTrunk = (linkId: string, { links }: Chain) =>
  links.filter(({ on, joint }) => on === linkId && joint !== null).length > 1;

function Result({
  chain,
  frames,
  linkId,
  flag,
  report,
}: {
  readonly chain: Chain;
  readonly frames: readonly FrameLoads[];
  readonly linkId: string;
  readonly flag: Flag | null;
  readonly report: Report | null;
}) {
  const words = useWords();
  const worst = worstFrame(frames, linkId);
  const now = jointLoads(chain).find((load) => load.linkId === linkId);
  const load = worst?.load ?? now;
  const shown = worst === null ? chain : (frames.find(({ frame }) => frame === worst.frame)?.chain ?? chain);
  const branch = branchOf(shown.links, linkId);
  const order = tensionOrder(shown).filter(
    (each) => branch.has(each.linkId) && each.momentNmm > 0.005 && !isTrunk(each.linkId, shown),
  );
  const moments = frames.flatMap(({ loads }) => loads.find((each) => each.linkId === linkId)?.momentNmm?.value ?? []);
  // A held limb bears the same in every frame: which one is the worst would be noise.
  const isSame =
    worst !== null && Math.max(...moments) - Math.min(...moments) < 0.3 * (worst.load.momentNmm?.sigma ?? 0);
  const moment = load?.momentNmm ?? null;
  const momentWords = moment === null ? "" : words(moment.value, "moment", moment.sigma);
  return (
    <div className="sum-result printed">
      <h1 aria-live="polite">
        {load === undefined
          ? "There is no joint in this chain"
          : moment === null
            ? `The load on the ${load.jointName.toLowerCase()} is not told: ${load.unweighed.join(", ")} ${load.unweighed.length === 1 ? "has" : "have"} no weight`
            : `The ${load.jointName.toLowerCase()} bears ${momentWords}`}
      </h1>
      {moment !== null && load !== undefined && (
        <p>
          {words(load.beyondGrams ?? 0, "mass")} beyond it, {words(load.armMm ?? 0, "length")} out across gravity
          {worst !== null &&
            (isSame
              ? "; the same in every frame of the shot"
              : `; this is frame ${worst.frame}, the worst of the shot on the picture`)}
          .
        </p>
      )}
      {flag !== null && report !== null && moment !== null && (flag.kind === "sag" || flag.kind === "spring-back") && (
        <MeasuredSag flag={flag} report={report} momentWords={momentWords} />
      )}
      <ChainDrawing chain={shown} loads={jointLoads(shown)} report={report} chosen={linkId} />
      {worst !== null && !isSame && <ByFrame frames={frames} linkId={linkId} />}
      {order.length > 1 && (
        <p>
          Tension along the limb, firmest first:{" "}
          {order.map(({ joint, momentNmm }) => `${joint.toLowerCase()} (${words(momentNmm, "moment")})`).join(", ")}.
          The trunk's joints are firmer than any of them, since other poses load them more: common practice, no source.
        </p>
      )}
      {load !== undefined && moment !== null && (
        <Holding chain={shown} linkId={linkId} load={load} flag={flag} report={report} />
      )}
      <section className="cautions">
        <h2>Mind</h2>
        <ul>
          <li>{cautions["mid-shot"]}</li>
        </ul>
        <p>{cautionsDefer} What a support bears is not in the sum.</p>
      </section>
    </div>
  );
}

/** What each joint bears, what it can hold, and the ways out. */
export function LoadPanel() {
  const report = useStore(session, (value) => value.report);
  const sheet = useStore(session, (value) => value.sheet);
  const { flag: chosen, fields } = useStore(workshop, (value) => value);
  const { flags, flag, chain, why, scope, faults, frames } = useMemo(
    () => loadSum(report, sheet, chosen, fields),
    [report, sheet, chosen, fields],
  );
  const joints = chain?.links.filter(({ joint }) => joint !== null) ?? [];
  const usual = chain === null ? null : flag === null ? (joints[0]?.id ?? null) : (linkOfFlag(flag, chain)?.id ?? null);
  const linkId = joints.find(({ id }) => id === fields["load.joint"])?.id ?? usual;
  return (
    <Faults.Provider value={faults}>
      <div className="sum">
        <div className="sum-fields">
          <Choice
            label="Chain"
            value={flag?.id ?? BY_HAND}
            options={[
              ...flags.map(
                (each) =>
                  [
                    each.id,
                    `${report?.parts.find(({ id }) => id === each.part)?.name ?? each.part ?? ""}: ${flagKindLabels[each.kind]}`,
                  ] as const,
              ),
              [BY_HAND, "By hand"],
            ]}
            onChange={(value) => {
              setField("load.source", value === BY_HAND ? BY_HAND : "");
              setField("load.joint", "");
              if (value !== BY_HAND) workshop.set({ flag: value });
            }}
          />
          {joints.length > 1 && (
            <Choice
              label="Joint"
              value={linkId ?? ""}
              options={joints.map(({ id, joint }) => [id, joint?.name ?? id])}
              onChange={(value) => setField("load.joint", value)}
            />
          )}
          {chain !== null && <ChainFields chain={chain} byHand={flag === null} linkId={linkId} scope={scope} />}
        </div>
        {chain === null ? (
          <div className="sum-result">
            <h1>The load is not told</h1>
            <p>{why} Choose "By hand" to do the sum with your own figures.</p>
          </div>
        ) : faults.length > 0 || linkId === null ? (
          <div className="sum-result">
            <h1 aria-live="polite">
              {faults.length > 0 ? "These figures can't be" : "There is no joint in this chain"}
            </h1>
            <ul className="reasons">
              {[...new Set(faults.map(({ sentence }) => sentence))].map((sentence) => (
                <li key={sentence}>{sentence}</li>
              ))}
            </ul>
          </div>
        ) : (
          <Result chain={chain} frames={frames} linkId={linkId} flag={flag} report={flag === null ? null : report} />
        )}
      </div>
    </Faults.Provider>
  );
}
