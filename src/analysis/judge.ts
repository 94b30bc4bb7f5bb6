import type { Flag, FlagKind, Part } from "../model/index.ts";
import { stopsOfGain } from "../units/index.ts";
import { cameraEvents } from "./kinds/evidence/camera-motion.ts";
import { focusChanges } from "./kinds/evidence/focus-change.ts";
import { rowsOf } from "./kinds/evidence/held-series.ts";
import { meanChanges, shapeChanges } from "./kinds/evidence/light-change.ts";
import { FOUND_SCORE } from "./found-parts.ts";
import { correctionLog } from "./corrections.ts";
import { ownCauses } from "./kinds/evidence/outside.ts";
import { partMotions } from "./kinds/evidence/part-drift.ts";
import type { Ring } from "./kinds/evidence/rigid.ts";
import { blursOf, isOfBlur } from "./kinds/evidence/moved-by-blur.ts";
import { beyondPull } from "./kinds/evidence/pulled-camera.ts";
import { type SurfaceEvidence, surfaceEvidence } from "./kinds/evidence/surface-evidence.ts";
import { withoutZoom } from "./kinds/evidence/without-zoom.ts";
import { defaultBands, kinds } from "./kinds/index.ts";
import type { BandOf, Evidence, Finding } from "./kinds/kind.ts";
import { isSetKind } from "./kinds/part-finding.ts";
import { watchedDrifts } from "./kinds/watched.ts";
import { overBreaks } from "./over-breaks.ts";
import type { JudgeInput, Judgement } from "./series.ts";

/** The bands of a shot, and px up to which a step beside a part's slow drift is part of it. */
function bandsOf({ bands }: JudgeInput): { readonly bandOf: BandOf; readonly stepBandOf: (part: Part) => number } {
  const bandOf: BandOf = (key, part) => bands[key] ?? part?.bandPx ?? defaultBands[key];
  return { bandOf, stepBandOf: (part) => bandOf(isSetKind(part.kind) ? "set-shift" : "knock", part) };
}

/**
 * Outlines of all that moved or shows something else, with what it carried, whether it matters or not: px of the original
 * frame. Parts tell far finer than single cells of the background what did.
 */
export function outlinesThatMoved(input: JudgeInput, { slips, jitters }: SurfaceEvidence): Ring[] {
  const { bandOf, stepBandOf } = bandsOf(input);
  const { drifts } = partMotions(input, cameraEvents(input, bandOf("camera-shift")), stepBandOf);
  const slipped = new Set([...slips, ...jitters].map(({ part }) => part.id));
  return [
    ...drifts.flatMap(({ surfaces }) => surfaces.map(({ outline }) => outline)),
    ...input.holds.filter(({ part, worn }) => worn !== undefined || slipped.has(part.id)).map(({ outline }) => outline),
  ];
}

/**
 * From series to flags: what is real by its statistic and matters by its band, each cause once. Works on as many frames
 * as there are, so that a shot can be judged while it is shot. The same input gives the same judgement.
 */
export function judge(input: JudgeInput, surfaces: SurfaceEvidence = surfaceEvidence(input)): Judgement {
  const { bandOf, stepBandOf } = bandsOf(input);
  const stepStops = (key: string) => stopsOfGain(1 + bandOf(key));
  const camera = cameraEvents(input, bandOf("camera-shift"));
  const { drifts, corrections } = partMotions(input, camera, stepBandOf);
  const focus = focusChanges(withoutZoom(input.frames, input.cameraMoves ?? []), bandOf("soft"));
  const blurs = blursOf(focus);
  const evidence: Evidence = {
    input,
    camera: beyondPull(camera, drifts, input).filter((move) => !isOfBlur(move, move.displacement.px, blurs, "camera")),
    drifts: ownCauses(drifts, input, camera, focus).filter(
      (drift) => !isOfBlur(drift.event, drift.largest.px, blurs, "part"),
    ),
    light: [
      ...meanChanges(input.frames, stepStops("light"), input.live),
      ...shapeChanges(input.frames, stepStops("light-shape"), input.live),
    ],
    focus,
    ...surfaces,
    rows: {
      held: Math.max(0, ...input.holds.map((hold) => rowsOf(hold).length + (hold.afterMove ? 0 : 1))),
      camera: input.frames.filter((row) => row.camera !== null).length,
      light: input.frames.filter((row) => Number.isFinite(row.lightStops)).length,
    },
  };
  const found = new Set(input.parts.filter((part) => part.kind === "found").map((part) => part.id));
  const findings = withoutPulled(kinds.flatMap((kind) => kind.find(evidence, bandOf))).filter(
    ({ part, score }) => part === null || !found.has(part) || score >= FOUND_SCORE,
  );
  const [breaks, watched] = [overBreaks(input), watchedDrifts(evidence, bandOf)];
  const order = new Map(input.parts.map((part, i) => [part.id, i]));
  const placeOf = ({ part }: Finding) => (part === null ? -1 : (order.get(part) ?? order.size));
  findings.sort((a, b) => a.from - b.from || placeOf(a) - placeOf(b));
  return {
    flags: named(findings),
    ...(breaks.length > 0 ? { breaks } : {}),
    ...(watched.length > 0 ? { watched } : {}),
    bands: { ...defaultBands, ...input.bands },
    thresholds: Object.fromEntries(
      kinds.flatMap((kind) => {
        const threshold = kind.threshold(evidence);
        return threshold !== null && threshold > 0 ? [[kind.kind, threshold]] : [];
      }),
    ),
    corrections: correctionLog(input, corrections),
  };
}

const DRIFTS: ReadonlySet<FlagKind> = new Set(["sag", "spring-back", "knock", "pop"]);
const SLIPS: ReadonlySet<FlagKind> = new Set(["crawl", "skin-shift", "boil"]);

/** A drift is a cause of its own beside a slip where it is larger by this many of its sigmas. */
const SURELY_LARGER = 3;

/** A patch that slipped, or boils, pulls its part's rigid motion along a little: that is told as the slip alone. */
function withoutPulled(findings: readonly Finding[]): Finding[] {
  return findings.filter(
    (one) =>
      !DRIFTS.has(one.kind) ||
      !findings.some(
        (slip) =>
          SLIPS.has(slip.kind) &&
          slip.part === one.part &&
          slip.from <= one.to &&
          one.from <= slip.to &&
          (one.px ?? 0) - (slip.px ?? 0) < SURELY_LARGER * (one.sigma ?? 0),
      ),
  );
}

/** Ids that say what they are: "sag-arm-left-7"; a second one of the same name gets a number. */
function named(findings: readonly Finding[]): Flag[] {
  const taken = new Map<string, number>();
  return findings.map((finding) => {
    const id = [finding.kind, ...(finding.part === null ? [] : [finding.part]), finding.from].join("-");
    const count = (taken.get(id) ?? 0) + 1;
    taken.set(id, count);
    return { id: count === 1 ? id : `${id}-${count}`, ...finding };
  });
}
