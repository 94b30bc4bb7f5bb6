import {
  captureTimes,
  centroidOf,
  type Flag,
  type FlagKind,
  type Part,
  polygonArea,
  type Report,
  type Sheet,
} from "../model/index.ts";
import { geometrySigns } from "./geometry-signs.ts";
import { creepOfFlag } from "./joint-load/measured-creep.ts";
import { type Series, seriesSigns } from "./series-signs.ts";
import type { Signs } from "./signs.ts";
import { withSigma } from "./words.ts";

// What a report says of a flag, as signs that speak for one cause or another. What isn't known is left out.

const rounded = (value: number): string => String(Math.round(value));

/** Kinds that go on for a while; the others happen at a frame. */
const slow: ReadonlySet<FlagKind> = new Set(["sag", "spring-back", "crawl", "boil"]);
/** Frames within which two things happened together: a slow drift's first frame is told less exactly than a step's. */
const together = (kind: FlagKind): number => (slow.has(kind) ? 4 : 1);
/** Frames after a move in which a part may still be settling. */
const SETTLING = 3;
const BREAK_SECONDS = 20 * 60;

/** Part of an outline below which a region is one area of it. */
const ONE_AREA = 0.5;

function clockOf(report: Report): ReadonlyMap<number, number> {
  const { times } = captureTimes(report.frames.map(({ frame, time }) => ({ frame, exifTime: time, modified: null })));
  return new Map(times.flatMap(({ frame, clock }) => (clock === null ? [] : [[frame, clock] as const])));
}

/** The drift along its own direction, frame by frame, px, at the middle of what drifted. */
function seriesOf(flag: Flag, report: Report): Series {
  const [x, y] = flag.direction ?? [0, 0];
  const clock = clockOf(report);
  const inFlag = (frame: number) => flag.from - 1 <= frame && frame <= flag.to;
  // The flag's own course is its drift alone, with breaks, knocks and the carrier taken out.
  if (flag.course !== undefined && flag.course.length > 0) {
    return flag.course
      .filter(({ frame }) => inFlag(frame))
      .map(({ frame, px: value, sigma }) => ({ frame, clock: clock.get(frame) ?? null, value, sigma: sigma ?? 0 }));
  }
  if (flag.part === null) {
    return report.frames.flatMap(({ frame, camera }) =>
      camera === null || flag.kind !== "camera-shift" || !inFlag(frame)
        ? []
        : [{ frame, clock: clock.get(frame) ?? null, value: camera.dx * x + camera.dy * y, sigma: camera.sigma }],
    );
  }
  return report.tracks.flatMap(({ part, frame, dx, dy, sigmaDx, sigmaDy }) =>
    part !== flag.part || dx === null || dy === null || !inFlag(frame)
      ? []
      : [
          {
            frame,
            clock: clock.get(frame) ?? null,
            value: dx * x + dy * y,
            sigma: Math.hypot((sigmaDx ?? 0) * x, (sigmaDy ?? 0) * y),
          },
        ],
  );
}

function touchSigns(flag: Flag, report: Report): Signs {
  const own = report.parts.find(({ id }) => id === flag.part);
  if (own === undefined) return {};
  const carrier = own.carrier ?? null;
  const near = report.parts.filter(
    (part) =>
      part.id === own.id ||
      part.id === carrier ||
      part.carrier === own.id ||
      (carrier !== null && part.carrier === carrier),
  );
  if (near.every(({ intents }) => intents === undefined || intents.length === 0)) return {};
  const moved = near.find(({ intents }) =>
    intents?.some(({ intent, from, to }) => intent === "moves" && from <= flag.from && to >= flag.from - SETTLING),
  );
  if (moved === undefined) return { untouched: "nothing next to it was being moved" };
  return {
    "after-touch":
      moved.id === own.id
        ? `it began at frame ${flag.from}, right after it was moved itself`
        : `it began at frame ${flag.from}, while ${moved.name} was being moved`,
  };
}

function breakSigns(flag: Flag, report: Report): Signs {
  if (slow.has(flag.kind)) return {};
  const clock = clockOf(report);
  const before = report.shot.frames.filter((frame) => frame < flag.from).at(-1);
  const [then, now] = [before === undefined ? undefined : clock.get(before), clock.get(flag.from)];
  if (before === undefined || then === undefined || now === undefined || now - then < BREAK_SECONDS) return {};
  return { "over-break": `${Math.round((now - then) / 60)} minutes lie between frames ${before} and ${flag.from}` };
}

function companySigns(flag: Flag, report: Report): Signs {
  const signs: { -readonly [Key in keyof Signs]: Signs[Key] } = {};
  const others = report.flags.filter(
    (other) =>
      other.id !== flag.id && Math.abs(other.from - flag.from) <= Math.max(together(flag.kind), together(other.kind)),
  );
  const at = (kind: FlagKind) =>
    report.flags.find((other) => other.id !== flag.id && other.kind === kind && Math.abs(other.from - flag.from) <= 1);
  const [camera, light] = [at("camera-shift"), at("light")];
  if (camera !== undefined) signs["with-camera"] = `the camera shifted at frame ${camera.from}`;
  if (light !== undefined) signs["with-light"] = `the light changed at frame ${light.from}`;
  if (flag.part === null) return signs;
  const parts = others.filter(({ part }) => part !== null && !flag.carries.includes(part));
  if (parts.length > 0) {
    const names = parts.map(({ part }) => report.parts.find(({ id }) => id === part)?.name ?? part);
    signs["several-parts"] = `${[...new Set(names)].join(" and ")} went at about the same frame`;
  } else if (report.parts.length > 1) signs["one-part"] = "no other part went at that time";
  return signs;
}

function areaSigns(flag: Flag, report: Report): Signs {
  if (flag.kind === "light") {
    return flag.region === null
      ? { "all-over": "the whole frame changed alike" }
      : { "one-area": "one region of the frame changed" };
  }
  const outline = report.parts.find(({ id }) => id === flag.part)?.outline;
  if (flag.region === null || outline === undefined) return {};
  const share = Math.abs(polygonArea(flag.region)) / Math.max(1, Math.abs(polygonArea(outline)));
  return share < ONE_AREA
    ? { "one-area": `it went in ${rounded(100 * share)} % of its outline` }
    : { "all-over": `it went in ${rounded(100 * Math.min(1, share))} % of its outline` };
}

function creepSigns(flag: Flag, report: Report): Signs {
  if (flag.kind !== "sag" && flag.kind !== "spring-back") return {};
  const creep = creepOfFlag(flag, report);
  if (!("degreesPerHour" in creep)) return {};
  const { value, sigma } = creep.degreesPerHour;
  if (!(value > 3 * sigma)) return {};
  const words = `it turned by ${withSigma(value, sigma, "degrees an hour")}`;
  return value > 1 ? { fast: words } : { slow: words };
}

/** Whether the whole figure leaned: what turned is the root of its chain, and something stands on it. */
function rootSigns(flag: Flag, report: Report): Signs {
  const part = report.parts.find(({ id }) => id === flag.part);
  const isRoot = part !== undefined && (part.carrier ?? null) === null && flag.carries.length > 0;
  return isRoot && (part.kind === "body" || part.kind === "limb")
    ? { "at-root": `${part.name} bears the figure, and what it bears went along` }
    : {};
}

/** How exactly a person places a joint, and so the place of a pivot that is told by it, px. */
const PLACED = 5;

/** Whether the point that a part turned about stayed where it was, from the middle and the last third of its drift. */
function pivotSigns(flag: Flag, report: Report): Signs {
  const part = report.parts.find(({ id }) => id === flag.part);
  if (part === undefined || flag.pivot === null || !slow.has(flag.kind)) return {};
  const rows = report.tracks.filter(
    (row) => row.part === part.id && flag.from <= row.frame && row.frame <= flag.to && row.turn !== null,
  );
  const third = Math.floor(rows.length / 3);
  if (third < 3) return {};
  const centre = centroidOf({ points: part.outline, holes: part.holes ?? [] });
  const pivotOf = (some: typeof rows) => {
    const mean = (pick: (row: (typeof rows)[number]) => number) =>
      some.reduce((sum, row) => sum + pick(row), 0) / some.length;
    const [dx, dy, turn] = [mean(({ dx }) => dx ?? 0), mean(({ dy }) => dy ?? 0), mean(({ turn }) => turn ?? 0)];
    // Half a row's own sigma is common to the hold (its anchor), so the mean of some rows isn't much better than one.
    const [sigmaShift, sigmaTurn] = [
      mean(({ sigmaDx, sigmaDy }) => Math.hypot(sigmaDx ?? 0, sigmaDy ?? 0)),
      mean((row) => row.sigmaTurn ?? 0),
    ];
    const cot = 1 / Math.tan(turn / 2);
    return {
      at: [centre[0] + (dx - dy * cot) / 2, centre[1] + (dy + dx * cot) / 2] as const,
      sigma: Math.hypot(sigmaShift, (Math.hypot(dx, dy) / Math.abs(turn)) * sigmaTurn) / Math.abs(turn),
    };
  };
  const [middle, last] = [pivotOf(rows.slice(third, 2 * third)), pivotOf(rows.slice(-third))];
  const apart = Math.hypot(middle.at[0] - last.at[0], middle.at[1] - last.at[1]);
  const sigma = Math.hypot(middle.sigma, last.sigma);
  if (!Number.isFinite(apart) || !Number.isFinite(sigma)) return {};
  if (apart > 3 * sigma + PLACED) {
    return {
      "pivot-wanders": `its pivot moved by ${rounded(apart)} \u00b1 ${rounded(Math.max(1, sigma))} px as it went`,
    };
  }
  return sigma < 2 * PLACED
    ? {
        "pivot-stays": `its pivot stayed within ${rounded(Math.max(1, apart))} \u00b1 ${rounded(Math.max(1, sigma))} px`,
      }
    : {};
}

const endSigns = (flag: Flag, report: Report): Signs =>
  slow.has(flag.kind) || flag.kind === "pop" || flag.kind === "stray" || flag.kind === "repeat"
    ? {}
    : flag.from === flag.to && flag.to !== report.shot.frames.at(-1)
      ? { "comes-back": "it was back in the next frame" }
      : flag.to === report.shot.frames.at(-1) && flag.to > flag.from
        ? { stays: `it stayed to the shot's last frame, ${flag.to}` }
        : {};

/** Whether it slows, by the law of creep that fits best, where one was told; that goes before its two halves. */
function lawSigns({ forecast }: Flag): Signs | null {
  const by = forecast?.by === "clock" ? "the clock" : "frames";
  switch (forecast?.law) {
    case "linear":
      return { steady: `a straight line by ${by} fits it best` };
    case "logarithmic":
    case "exponential":
      return {
        slowing: `${forecast.law === "exponential" ? "an exponential" : "a logarithmic"} law by ${by}, which slows, fits it best`,
      };
    case null:
    case undefined:
      return null;
  }
}

/** Everything that a report, and the sheet where there is one, say of a flag. */
export function signsOfFlag(flag: Flag, report: Report, sheet: Sheet | null): Signs {
  const joints = sheet?.parts.flatMap((part: Part) => part.joints) ?? [];
  const name =
    flag.joint === null
      ? null
      : (joints.find(({ id }) => id === flag.joint)?.name ?? flag.joint.replace(/[-_]/gu, " "));
  const { slowing, steady, ...steps } = seriesSigns(flag.kind, seriesOf(flag, report));
  const pace = { ...(slowing === undefined ? {} : { slowing }), ...(steady === undefined ? {} : { steady }) };
  return {
    ...geometrySigns({ ...flag, down: sheet?.down ?? [0, 1], joint: name }),
    ...pivotSigns(flag, report),
    ...rootSigns(flag, report),
    ...creepSigns(flag, report),
    ...steps,
    ...(lawSigns(flag) ?? pace),
    ...touchSigns(flag, report),
    ...breakSigns(flag, report),
    ...areaSigns(flag, report),
    ...companySigns(flag, report),
    ...endSigns(flag, report),
  };
}
