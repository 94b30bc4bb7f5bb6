import type { Flag, Report } from "../../model/index.ts";
import { creepCurve } from "../../reports/creep-curve.ts";

/** A drift's law through its frames and beyond them, and where it passes its next limits; px and frames. */
export interface Coming {
  readonly law: readonly { readonly frame: number; readonly px: number }[];
  readonly crossings: readonly {
    readonly px: number;
    readonly frame: number;
    readonly from: number;
    readonly to: number;
  }[];
  /** The farthest frame that is drawn; null where nothing beyond the last one is. */
  readonly ahead: number | null;
}

/** What lies farther ahead than this share of the shot is told in words alone: the trace must stay large. */
const FARTHEST = 0.6;
const POINTS = 60;

/** Minutes from a frame's capture time; null where there is none. */
const minutesOf = (time: string | null | undefined) => (time ? Date.parse(`${time}Z`) / 60_000 : null);

export function comingOf(flag: Flag, report: Report | null): Coming | null {
  const { forecast } = flag;
  const frames = report?.shot.frames ?? [];
  const last = frames.at(-1);
  if (!report || !forecast || forecast.law === null || last === undefined || frames[0] === undefined) return null;
  const times = new Map(report.frames.map(({ frame, time }) => [frame as number, minutesOf(time)]));
  const byClock = forecast.by === "clock";
  const lastTime = times.get(last) ?? null;
  // Ahead of the last frame the clock goes on at the pace that the forecast reckons with.
  const told = forecast.crossings.find(({ frame, minutes }) => frame !== null && minutes !== null && frame > last);
  const pace = told?.frame != null && told.minutes !== null ? told.minutes / (told.frame - last) : null;
  const timeOf = (frame: number): number | null => {
    if (!byClock) return frame;
    if (frame <= last) return times.get(frame) ?? null;
    return lastTime === null || pace === null ? null : lastTime + (frame - last) * pace;
  };
  const curve = creepCurve(flag, timeOf);
  if (curve === null) return null;
  const limit = last + FARTHEST * (last - frames[0]);
  const crossings = forecast.crossings.flatMap(({ px, frame, frameFrom, frameTo }) =>
    frame === null || frame > limit
      ? []
      : [{ px, frame, from: Math.max(last, frameFrom ?? frame), to: Math.min(limit, frameTo ?? limit) }],
  );
  const ahead =
    flag.to < last || crossings.length === 0
      ? null
      : Math.max(...crossings.map(({ frame, to }) => Math.max(frame, to)));
  const within = frames.filter((frame) => flag.from <= frame && frame <= flag.to);
  const beyond =
    ahead === null ? [] : Array.from({ length: POINTS }, (_, i) => last + ((i + 1) * (ahead - last)) / POINTS);
  const law = [...within, ...beyond].flatMap((frame) => {
    const time = timeOf(frame);
    return time === null ? [] : [{ frame, px: curve(time) }];
  });
  return { law, crossings, ahead };
}
