import { centroidOf, type Intent, type Report, type Track } from "../../model/index.ts";
import type { Chain, Link, Place } from "./chain.ts";
import { type JointLoad, jointLoads } from "./moments.ts";

// Where each link stands in each frame, from what the check measured, and so the load in each frame.

/** A rigid motion in the picture: turned about the origin, then shifted. */
interface Rigid {
  readonly turn: number;
  readonly shift: Place;
}

const still: Rigid = { turn: 0, shift: [0, 0] };

const applied = ({ turn, shift }: Rigid, [x, y]: Place): Place => {
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  return [c * x - s * y + shift[0], s * x + c * y + shift[1]];
};
const after = (second: Rigid, first: Rigid): Rigid => ({
  turn: second.turn + first.turn,
  shift: applied(second, first.shift),
});
const inverse = ({ turn, shift }: Rigid): Rigid => ({
  turn: -turn,
  shift: applied({ turn: -turn, shift: [0, 0] }, [-shift[0], -shift[1]]),
});
/** Turned about a point and shifted. */
const about = (centre: Place, turn: number, by: Place): Rigid => {
  const turned = applied({ turn, shift: [0, 0] }, centre);
  return { turn, shift: [centre[0] - turned[0] + by[0], centre[1] - turned[1] + by[1]] };
};

const rides = (intents: readonly Intent[] | undefined, frame: number): boolean =>
  intents?.some(({ from, to, intent }) => from <= frame && frame <= to && intent === "rides") ?? false;

/** Pose of every part in every frame against its first anchor; null where it was not measured. */
function posesOf(report: Report): ReadonlyMap<string, ReadonlyMap<number, Rigid | null>> {
  const rows = new Map<string, Track[]>();
  for (const track of report.tracks) rows.set(track.part, [...(rows.get(track.part) ?? []), track]);
  const poses = new Map<string, Map<number, Rigid | null>>();
  const visit = (id: string): ReadonlyMap<number, Rigid | null> => {
    const known = poses.get(id);
    if (known !== undefined) return known;
    const own = new Map<number, Rigid | null>();
    poses.set(id, own);
    const part = report.parts.find((each) => each.id === id);
    if (part === undefined) return own;
    const centroid = centroidOf({ points: part.outline, holes: part.holes ?? [] });
    const carrier = part.carrier ? visit(part.carrier) : null;
    for (const track of (rows.get(id) ?? []).sort((a, b) => a.frame - b.frame)) {
      if (!own.has(track.anchor)) own.set(track.anchor, own.size === 0 ? still : null);
      let base = own.get(track.anchor) ?? null;
      if (base !== null && carrier !== null && rides(part.intents, track.frame)) {
        const [then, now] = [carrier.get(track.anchor) ?? null, carrier.get(track.frame) ?? null];
        base = then === null || now === null ? null : after(after(now, inverse(then)), base);
      }
      const measured = base !== null && track.dx !== null && track.dy !== null && track.turn !== null;
      own.set(
        track.frame,
        measured && base !== null
          ? after(about(applied(base, centroid), track.turn ?? 0, [track.dx ?? 0, track.dy ?? 0]), base)
          : null,
      );
    }
    return own;
  };
  for (const { id } of report.parts) visit(id);
  return poses;
}

/** Loads in one frame. A joint beyond which a part could not be followed has no moment, and is named in `lost`. */
export interface FrameLoads {
  readonly frame: number;
  readonly chain: Chain;
  readonly loads: readonly JointLoad[];
  /** Names of links that could not be followed to this frame. */
  readonly lost: readonly string[];
}

/** Loads at every joint in every frame of a report, the chain carried along by what was measured. */
export function loadsByFrame(chain: Chain, report: Report): readonly FrameLoads[] {
  const poses = posesOf(report);
  return report.shot.frames.map((frame) => {
    const lost: string[] = [];
    /** A link without measurements of its own goes with what carries it. */
    const poseOf = (link: Link): Rigid | null => {
      const own = poses.get(link.id);
      if (own !== undefined && own.size > 0) {
        const first = Math.min(...own.keys());
        return frame < first ? still : (own.get(frame) ?? null);
      }
      const carrier = chain.links.find(({ id }) => id === link.on);
      return carrier === undefined ? still : poseOf(carrier);
    };
    const links = chain.links.map((link): Link => {
      const pose = poseOf(link);
      if (pose === null) {
        lost.push(link.name);
        return { ...link, massGrams: null };
      }
      return {
        ...link,
        centre: applied(pose, link.centre),
        joint: link.joint === null ? null : { ...link.joint, at: applied(pose, link.joint.at) },
      };
    });
    const posed = { ...chain, links };
    return { frame, chain: posed, loads: jointLoads(posed), lost };
  });
}

/** The frame in which a joint bears most, with its load; null where it is told in none. */
export function worstFrame(
  frames: readonly FrameLoads[],
  linkId: string,
): { readonly frame: number; readonly load: JointLoad } | null {
  let worst: { readonly frame: number; readonly load: JointLoad } | null = null;
  for (const { frame, loads } of frames) {
    const load = loads.find((each) => each.linkId === linkId);
    if (load === undefined || load.momentNmm === null) continue;
    if (worst === null || load.momentNmm.value > (worst.load.momentNmm?.value ?? 0)) worst = { frame, load };
  }
  return worst;
}
