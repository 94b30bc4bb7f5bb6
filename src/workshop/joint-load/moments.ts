import type { Uncertain } from "../faults.ts";
import { carriedBy, type Chain, type Link, type Place } from "./chain.ts";

/** Standard acceleration of free fall, m/s^2 (ISO 80000-3): newtons of a gram are a thousandth of it. */
export const GRAVITY = 9.80665;

type Vector = readonly [x: number, y: number, z: number];

/** What gravity does at one joint. */
export interface JointLoad {
  readonly jointId: string;
  readonly jointName: string;
  /** The link that turns there. */
  readonly linkId: string;
  /** Moment of all that hangs beyond the joint, N mm, 1 sigma; null where a weight is not known. */
  readonly momentNmm: Uncertain | null;
  /** Weight beyond the joint, g; null where one is not known. */
  readonly beyondGrams: number | null;
  /** Distance of that weight from the joint across gravity, mm. */
  readonly armMm: number | null;
  /** Way it would turn on the picture: 1 clockwise, -1 against, 0 where it hangs straight. */
  readonly sense: -1 | 0 | 1;
  /** Names of links without a weight. */
  readonly unweighed: readonly string[];
}

const RADIANS = Math.PI / 180;
const cross = ([ax, ay, az]: Vector, [bx, by, bz]: Vector): Vector => [
  ay * bz - az * by,
  az * bx - ax * bz,
  ax * by - ay * bx,
];

function gravityOf({ down, downIntoPictureDegrees }: Chain): Vector {
  const length = Math.hypot(...down);
  const lean = downIntoPictureDegrees * RADIANS;
  return [(Math.cos(lean) * down[0]) / length, (Math.cos(lean) * down[1]) / length, Math.sin(lean)];
}

/** Places of joints and centres in mm: x right, y down, z away from the lens. Depth from each link's tilt along the chain. */
function placesOf(links: readonly Link[]): ReadonlyMap<string, { readonly pivot: Vector; readonly centre: Vector }> {
  const done = new Map<string, { readonly holder: Link; readonly pivot: Vector; readonly centre: Vector }>();
  /** A point of the picture on a link whose pivot is known. */
  const on = (link: Link, pivot: Vector, at: Place): Vector => {
    const origin = link.joint?.at ?? link.centre;
    const axis = [link.centre[0] - origin[0], link.centre[1] - origin[1]];
    const length = Math.hypot(...axis);
    const [dx, dy] = [(at[0] - origin[0]) / link.pxPerMm, (at[1] - origin[1]) / link.pxPerMm];
    const along = length > 0 ? (dx * axis[0] + dy * axis[1]) / length : 0;
    return [pivot[0] + dx, pivot[1] + dy, pivot[2] + along * Math.tan(link.intoPictureDegrees * RADIANS)];
  };
  const visit = (link: Link): { readonly holder: Link; readonly pivot: Vector; readonly centre: Vector } => {
    const known = done.get(link.id);
    if (known !== undefined) return known;
    const carrier = links.find(({ id }) => id === link.on);
    let answer: { holder: Link; pivot: Vector; centre: Vector };
    if (carrier === undefined) {
      answer = { holder: link, pivot: [0, 0, 0], centre: on(link, [0, 0, 0], link.centre) };
    } else {
      const { holder, pivot } = visit(carrier);
      if (link.joint === null) answer = { holder, pivot, centre: on(holder, pivot, link.centre) };
      else {
        const own = on(holder, pivot, link.joint.at);
        answer = { holder: link, pivot: own, centre: on(link, own, link.centre) };
      }
    }
    done.set(link.id, answer);
    return answer;
  };
  for (const link of links) visit(link);
  return done;
}

/** Moment of gravity about a joint, N mm, as a vector; weights that are not known count as nothing. */
function momentAbout(chain: Chain, link: Link): Vector {
  const places = placesOf(chain.links);
  const gravity = gravityOf(chain);
  const pivot = places.get(link.id)?.pivot ?? [0, 0, 0];
  let sum: Vector = [0, 0, 0];
  for (const { id, massGrams } of carriedBy(chain.links, link.id)) {
    const centre = places.get(id)?.centre ?? pivot;
    const newtons = ((massGrams ?? 0) * GRAVITY) / 1000;
    const arm: Vector = [centre[0] - pivot[0], centre[1] - pivot[1], centre[2] - pivot[2]];
    const part = cross(arm, [gravity[0] * newtons, gravity[1] * newtons, gravity[2] * newtons]);
    sum = [sum[0] + part[0], sum[1] + part[1], sum[2] + part[2]];
  }
  return sum;
}

const changed = (chain: Chain, id: string, change: (link: Link) => Partial<Link>): Chain => ({
  ...chain,
  links: chain.links.map((link) => (link.id === id ? { ...link, ...change(link) } : link)),
});

/** The chain with each of its inputs one sigma up and one sigma down, as pairs. */
function* wrongBySigma(chain: Chain, joint: Link): Generator<readonly [Chain, Chain]> {
  const { jointPx, centreShare, scaleShare, angleDegrees } = chain.sigmas;
  const length = Math.hypot(...chain.down);
  // Across gravity: along it a place may be wrong and the moment is the same.
  const across: Place = [chain.down[1] / length, -chain.down[0] / length];
  const moved = ([x, y]: Place, by: number): Place => [x + across[0] * by, y + across[1] * by];
  const pair = (id: string, change: (link: Link, side: 1 | -1) => Partial<Link>) =>
    [changed(chain, id, (link) => change(link, 1)), changed(chain, id, (link) => change(link, -1))] as const;
  for (const link of carriedBy(chain.links, joint.id)) {
    if (link.massGrams !== null && link.massSigmaGrams > 0) {
      yield pair(link.id, ({ massGrams, massSigmaGrams }, side) => ({
        massGrams: Math.max(0, (massGrams ?? 0) + side * massSigmaGrams),
      }));
    }
    const origin = link.joint?.at ?? joint.joint?.at ?? link.centre;
    const reach = Math.hypot(link.centre[0] - origin[0], link.centre[1] - origin[1]);
    yield pair(link.id, ({ centre }, side) => ({ centre: moved(centre, side * centreShare * reach) }));
    yield pair(link.id, ({ intoPictureDegrees }, side) => ({
      intoPictureDegrees: Math.max(-85, Math.min(85, intoPictureDegrees + side * angleDegrees)),
    }));
  }
  yield pair(joint.id, (link, side) =>
    link.joint === null ? {} : { joint: { ...link.joint, at: moved(link.joint.at, side * jointPx) } },
  );
  const scaled = (factor: number): Chain => ({
    ...chain,
    links: chain.links.map((link) => ({ ...link, pxPerMm: link.pxPerMm * factor })),
  });
  yield [scaled(1 + scaleShare), scaled(1 - scaleShare)];
}

function loadAt(chain: Chain, link: Link): JointLoad {
  const beyond = carriedBy(chain.links, link.id);
  const unweighed = beyond.filter(({ massGrams }) => massGrams === null).map(({ name }) => name);
  const names = { jointId: link.joint?.id ?? link.id, jointName: link.joint?.name ?? link.name, linkId: link.id };
  const moment = momentAbout(chain, link);
  const size = Math.hypot(...moment);
  if (unweighed.length > 0) {
    return { ...names, momentNmm: null, beyondGrams: null, armMm: null, sense: 0, unweighed };
  }
  // One input at a time by its sigma, the larger of both ways, in quadrature: at a limb that hangs straight down, where
  // the derivative is nothing, this still gives what a slip of the place would do.
  let variance = 0;
  for (const [up, downward] of wrongBySigma(chain, link)) {
    const off = (other: Chain) => {
      const wrong = momentAbout(other, link);
      return Math.hypot(wrong[0] - moment[0], wrong[1] - moment[1], wrong[2] - moment[2]);
    };
    variance += Math.max(off(up), off(downward)) ** 2;
  }
  const beyondGrams = beyond.reduce((sum, { massGrams }) => sum + (massGrams ?? 0), 0);
  const newtons = (beyondGrams * GRAVITY) / 1000;
  return {
    ...names,
    momentNmm: { value: size, sigma: Math.sqrt(variance) },
    beyondGrams,
    armMm: newtons > 0 ? size / newtons : 0,
    sense: Math.abs(moment[2]) < 1e-9 ? 0 : moment[2] > 0 ? 1 : -1,
    unweighed,
  };
}

/**
 * Moment of gravity at every joint of a chain that has no faults, N mm, nearest to the root first.
 *
 * Statics: a joint bears the moment of the weights that hang beyond it, each times its distance from the joint across
 * gravity, out of the picture's plane too. What a support takes is not in it.
 */
export function jointLoads(chain: Chain): readonly JointLoad[] {
  const depth = (link: Link): number => {
    const carrier = chain.links.find(({ id }) => id === link.on);
    return carrier === undefined ? 0 : 1 + depth(carrier);
  };
  return chain.links
    .filter(({ joint }) => joint !== null)
    .map((link) => [depth(link), link] as const)
    .sort(([a], [b]) => a - b)
    .map(([, link]) => loadAt(chain, link));
}

/** Moment at one joint alone, N mm, without its uncertainty; unknown weights count as nothing. For searches. */
export const momentAt = (chain: Chain, linkId: string): number => {
  const link = chain.links.find(({ id }) => id === linkId);
  return link === undefined ? Number.NaN : Math.hypot(...momentAbout(chain, link));
};
