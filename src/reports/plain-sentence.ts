import type { Flag, Report } from "../model/index.ts";
import { mmSigmaOf } from "./flag-size.ts";
import { fixed, measured, titled } from "./words.ts";

// A finding in one plain sentence, as one person on set would tell another; its uncertainty where that is asked for.

export interface SentenceNames {
  readonly part: (id: string) => string;
  readonly joint: (id: string) => string;
}

/** Words that only began with a capital because they began a name. */
const common = /^(Left|Right|Upper|Lower|Front|Back|Middle|Inner|Outer|The)\b/u;
const lower = (name: string) =>
  common.test(name) || /^[A-Z][a-z]+$/u.test(name) ? name.charAt(0).toLowerCase() + name.slice(1) : name;
const isNamed = (name: string) => /['’]s\b|s['’]\s/u.test(name);
const withArticle = (name: string) => (isNamed(name) ? name : `the ${lower(name).replace(/^the /u, "")}`);

/** Numbers in plain sentences have two decimals; smaller ones two figures. */
const plain = (value: number) => fixed(value, Math.abs(value) >= 0.095 || value === 0 ? 2 : 3);

/** "Oda's left upper arm", "the straw hat". */
function subjectOf(flag: Flag, report: Report, names: SentenceNames): string {
  const part = report.parts.find((each) => each.id === flag.part);
  const name = names.part(flag.part ?? "");
  const puppet = part?.puppet ?? null;
  if (puppet === null || isNamed(name)) return withArticle(name);
  return `${titled(puppet)}’s ${lower(name).replace(/^the /u, "")}`;
}

function sizeOf(flag: Flag, exact: boolean): string {
  const { px, mm, sigma } = flag;
  if (px === null) return "";
  const pixels = exact ? measured(px, sigma, "px") : `${plain(px)} px`;
  if (mm === null) return pixels;
  return `${pixels} (${exact ? measured(mm, mmSigmaOf(flag), "mm") : `${plain(mm)} mm`})`;
}

/** ", still falling" where the newest frames show that it goes on, ", now at rest" where they show that it doesn't. */
function goingOn({ forecast, direction }: Flag): string {
  if (forecast === undefined) return "";
  if (/come to rest/u.test(forecast.reason)) return ", now at rest";
  if (forecast.crossings.length === 0) return "";
  const down = direction?.[1] ?? 0;
  return down > 0.4 ? ", still falling" : down < -0.4 ? ", still rising" : ", still going";
}

function aboutWords(flag: Flag, { joint }: SentenceNames): string {
  if (flag.joint === null) return "";
  return `; it turns about ${[flag.joint, ...(flag.alsoJoints ?? [])].map((id) => withArticle(joint(id))).join(" or ")}`;
}

/** A message without its uncertainties: "1.976 ± 0.004 px" becomes "1.98 px". */
export const withoutUncertainty = (message: string): string =>
  message.replace(/(\d+(?:\.(\d+))?) ± \d+(?:\.\d+)?/gu, (_, value: string, decimals: string | undefined) =>
    (decimals?.length ?? 0) > 2 ? plain(Number(value)) : value,
  );

/** Light is told in stops on the strips: beside the percent that its sentence tells. */
function withStops(message: string, { stops, sigma, kind }: Flag, exact: boolean): string {
  if (kind !== "light" || stops === null) return message;
  const size = exact ? measured(Math.abs(stops), sigma, "stops") : `${plain(Math.abs(stops))} stops`;
  return message.replace(/%/u, `% (${size})`);
}

/**
 * "Oda's left upper arm sagged 1.98 px (0.63 mm) from frame 7, still falling; it turns about the left shoulder."
 *
 * @param exact true where every number carries its uncertainty, 1 sigma
 */
export function plainSentence(flag: Flag, report: Report, names: SentenceNames, exact: boolean): string {
  const isSlow = flag.kind === "sag" || flag.kind === "spring-back";
  if (!isSlow || flag.px === null || flag.part === null) {
    const message = withStops(flag.message, flag, exact);
    return exact ? message : withoutUncertainty(message);
  }
  const subject = subjectOf(flag, report, names);
  // What the drift is called depends on which way is down: the report's own word is kept.
  const verb = /slid sideways/u.test(flag.message)
    ? "slid sideways"
    : flag.kind === "sag"
      ? "sagged"
      : "sprang back upwards";
  const beside =
    flag.besideCarrier === undefined ? "" : ` beyond what ${withArticle(names.part(flag.besideCarrier))} did`;
  const last = report.shot.frames.at(-1);
  const span = flag.to === last ? `from frame ${flag.from}` : `from frame ${flag.from} to ${flag.to}`;
  const sentence = `${subject} ${verb} ${sizeOf(flag, exact)}${beside} ${span}${goingOn(flag)}${aboutWords(flag, names)}.`;
  return sentence.charAt(0).toUpperCase() + sentence.slice(1);
}
