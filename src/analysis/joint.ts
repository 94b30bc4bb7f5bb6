import { inverse, quadratic } from "../measure/statistics/matrix.ts";
import {
  covarianceAt,
  displacementAt,
  displacementOf,
  largestDisplacement,
  leverOf,
  type MovedSurface,
  type Point,
  type RigidMotion,
  type Ring,
} from "./kinds/evidence/rigid.ts";
import { pxWords, wayWords } from "./kinds/words.ts";
import { mayBePivot, pivotBesideJoint } from "./pivot-beside-joint.ts";

// The joint that slipped. A small motion in the picture plane has one fixed point, the pivot; the joint is the one about
// which a turn alone explains the motion. The pivot is a ratio of small numbers, so its region is Fieller's (Fieller 1954):
// the points whose displacement can't be told from none. It is no ellipse about the pivot, and it may have no end.

/** How exactly a person places a joint in the picture, px. */
export const JOINT_PLACEMENT_PX = 5;
/** A joint is named where a turn about it leaves less than this share of the drift. */
export const LEFT_SHARE = 0.1;
/** Where noise alone leaves more, up to this share. */
const LEFT_BY_NOISE = 0.2;
/** 95 % of the chi-squared law with two degrees of freedom: -2 ln 0.05. */
const REGION_LEVEL = -2 * Math.log(0.05);
/** The same as a sigma along each axis: 95 of 100 joints lie within it. */
const PLACEMENT_SIGMA = JOINT_PLACEMENT_PX / Math.sqrt(REGION_LEVEL);
const REGION_CORNERS = 48;
/** A pivot farther off than this many sizes of the part isn't one. */
const FARTHEST = 50;
/**
 * Limbs aren't rigid in the picture to better than this share of the drift: it keeps one part from outvoting the rest. A
 * limb that leans 8 degrees out of the picture is shortened by 1 - cos 8 = 1 %. Argued, not measured.
 */
const MODEL_SHARE = 0.01;
/** A turn whose axis leans out of the line of sight by more than this is no turn in the picture; common practice, no source. */
export const MOST_OBLIQUE_DEGREES = 30;
/** It slid where its turn, at the most that its error allows, explains less than this share of the drift. */
const SLID_SHARE = 0.25;

export interface NamedJoint {
  readonly id: string;
  readonly name: string;
  readonly at: Point;
}

export interface JointAnswer {
  readonly joint: NamedJoint | null;
  /** Further joints that explain the drift as well, best first. */
  readonly alternatives: readonly NamedJoint[];
  /** Fixed point of the motion, px, where a joint is told by where that was marked too; null where the turn is too small to have one. */
  readonly pivot: Point | null;
  /** 95 % region of the pivot; null where it has no end. */
  readonly region: Ring | null;
  /** Why no joint is told; empty where one is. */
  readonly reason: string;
}

/**
 * @param surfaces the part that drifted first, then all it carried, each with its measured motion
 * @param joints joints of the part's own chain of carriers, px
 * @param obliqueDegrees how far the axis of the turn leans out of the line of sight: a limb that points into the picture
 * is foreshortened, its turn is a shear there, and its planar pivot lies elsewhere
 */
export function slippedJoint(
  surfaces: readonly MovedSurface[],
  joints: readonly NamedJoint[],
  obliqueDegrees = 0,
): JointAnswer {
  const motion = pooledMotion(surfaces);
  const untold = (reason: string, pivot: Point | null = null, region: Ring | null = null): JointAnswer => ({
    joint: null,
    alternatives: [],
    pivot,
    region,
    reason,
  });
  if (motion === null || !(motion.covariance[8] > 0)) return untold("its turn could not be measured");
  const pivot = pivotOf(motion);
  const turns = pivot !== null && motion.turn ** 2 > REGION_LEVEL * motion.covariance[8];
  if (!turns) return untold(howItSlid(motion, surfaces));
  if (obliqueDegrees > MOST_OBLIQUE_DEGREES) {
    const lean = Math.round(obliqueDegrees);
    return untold(
      `it points into the picture, its turn leans by ${lean} degrees, so a pivot in the picture is not its joint`,
    );
  }
  const region = fiellerRegion(motion, pivot, FARTHEST * sizeOf(surfaces));
  if (joints.length === 0) return untold("no joint is marked along its chain", pivot, region);

  const drift = largestDisplacement(surfaces.map(({ outline }) => ({ outline, motion }))).px;
  const judged = joints
    .map((joint) => ({ joint, ...leftAbout(placedTowards(joint.at, pivot), motion, surfaces) }))
    .sort((a, b) => a.left - b.left);
  // A turn at a slant is shorter across than along by its cosine: that much no joint explains.
  const slant = 1 - Math.cos((obliqueDegrees * Math.PI) / 180);
  const fits = judged.filter(
    ({ left, sigma }) =>
      left < (LEFT_SHARE + slant) * drift || (left < 2 * sigma && left < (LEFT_BY_NOISE + slant) * drift),
  );
  if (fits.length === 0) {
    const { joint } = judged.reduce((a, b) => (away(a.joint.at, pivot) < away(b.joint.at, pivot) ? a : b));
    const distance = Math.round(away(joint.at, pivot));
    return untold(
      `it turned about a point ${distance} px from the nearest joint marked, so it may have turned out of the picture`,
      pivot,
      region,
    );
  }
  const [best, ...others] = fits.map(({ joint }) => joint);
  const told = pivotBesideJoint(motion, best.at, PLACEMENT_SIGMA);
  return { joint: best, alternatives: others, pivot: told, region, reason: "" };
}

const away = (a: Point, b: Point): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** What a part did that did not turn: slid, or moved too little for its noise to say. */
function howItSlid(motion: RigidMotion, surfaces: readonly MovedSurface[]): string {
  const slid = displacementOf(motion, motion.centre);
  const most = Math.abs(motion.turn) + 2 * Math.sqrt(motion.covariance[8]);
  if (most * sizeOf(surfaces) > SLID_SHARE * slid.px) return "its turn is lost in its noise";
  return `it slid ${pxWords(slid.px, slid.sigma)} ${wayWords(slid.direction)}, and did not turn`;
}

/** Largest distance of a corner from the first surface's centre, px. */
function sizeOf(surfaces: readonly MovedSurface[]): number {
  const centre = surfaces[0].motion.centre;
  return Math.max(1, ...surfaces.flatMap(({ outline }) => outline.map((point) => away(point, centre))));
}

/** One rigid motion for all surfaces, told at the first one's centre, by generalised least squares. */
export function pooledMotion(surfaces: readonly MovedSurface[]): RigidMotion | null {
  if (surfaces.length === 0) return null;
  const { centre } = surfaces[0].motion;
  const model = MODEL_SHARE * largestDisplacement(surfaces).px;
  const size = sizeOf(surfaces);
  const normal = new Float64Array(9);
  const right = new Float64Array(3);
  for (const { motion } of surfaces) {
    const turnKnown = motion.covariance[8] > 0;
    const dims = turnKnown ? 3 : 2;
    const noise = new Float64Array(dims * dims);
    for (let a = 0; a < dims; a++) {
      for (let b = 0; b < dims; b++) noise[a * dims + b] = motion.covariance[a * 3 + b];
      noise[a * dims + a] += (a < 2 ? model : model / size) ** 2;
    }
    const precision = inverse(noise, dims);
    if (precision === null) continue;
    const lever = [...leverOf(centre, motion.centre), 0, 0, 1];
    const value = [motion.dx, motion.dy, motion.turn];
    for (let a = 0; a < 3; a++) {
      for (let i = 0; i < dims; i++) {
        for (let j = 0; j < dims; j++) {
          const weight = lever[i * 3 + a] * precision[i * dims + j];
          right[a] += weight * value[j];
          for (let b = 0; b < 3; b++) normal[a * 3 + b] += weight * lever[j * 3 + b];
        }
      }
    }
  }
  const covariance = inverse(normal, 3);
  if (covariance === null) return null;
  const solved = [0, 1, 2].map((a) => right.reduce((sum, value, b) => sum + covariance[a * 3 + b] * value, 0));
  return { dx: solved[0], dy: solved[1], turn: solved[2], covariance, centre };
}

/** Solves (I - R) (c - centre) = t for the pivot c; null for a pure slide. */
export function pivotOf({ dx, dy, turn, centre }: RigidMotion): Point | null {
  const [c, s] = [1 - Math.cos(turn), Math.sin(turn)];
  const determinant = c * c + s * s;
  if (!(determinant > 0)) return null;
  // (I - R) = [[c, s], [-s, c]].
  return [centre[0] + (c * dx - s * dy) / determinant, centre[1] + (s * dx + c * dy) / determinant];
}

/** Boundary of the points whose displacement is not significant, as a polygon about the pivot; null where it has no end. */
function fiellerRegion(motion: RigidMotion, pivot: Point, farthest: number): Ring | null {
  const corners: Point[] = [];
  for (let corner = 0; corner < REGION_CORNERS; corner++) {
    const angle = (2 * Math.PI * corner) / REGION_CORNERS;
    const at = (radius: number): Point => [pivot[0] + radius * Math.cos(angle), pivot[1] + radius * Math.sin(angle)];
    const inside = (radius: number) => mayBePivot(motion, at(radius), REGION_LEVEL);
    let high = 1e-3;
    while (high <= farthest && inside(high)) high *= 1.5;
    if (high > farthest) return null;
    let low = high / 1.5;
    for (let step = 0; step < 30; step++) {
      const middle = (low + high) / 2;
      if (inside(middle)) low = middle;
      else high = middle;
    }
    corners.push(at(low));
  }
  return corners;
}

/** The joint as it may really lie: up to the placement's error nearer to the pivot. */
function placedTowards(joint: Point, pivot: Point): Point {
  const distance = away(joint, pivot);
  const share = distance > JOINT_PLACEMENT_PX ? JOINT_PLACEMENT_PX / distance : 1;
  return [joint[0] + share * (pivot[0] - joint[0]), joint[1] + share * (pivot[1] - joint[1])];
}

/** Largest displacement that is left over all corners when the part turns about the joint alone, with its sigma, px. */
function leftAbout(
  joint: Point,
  motion: RigidMotion,
  surfaces: readonly MovedSurface[],
): { readonly left: number; readonly sigma: number } {
  const points = surfaces.flatMap(({ outline }) => outline);
  let [product, square] = [0, 0];
  for (const point of points) {
    const [lx, ly] = [point[0] - joint[0], point[1] - joint[1]];
    const [x, y] = displacementAt(motion, point);
    product += y * lx - x * ly;
    square += lx * lx + ly * ly;
  }
  const turn = square > 0 ? product / square : 0;
  let worst: { left: number; sigma: number } = { left: 0, sigma: 0 };
  for (const point of points) {
    const [x, y] = displacementAt(motion, point);
    const [c, s] = [Math.cos(turn) - 1, Math.sin(turn)];
    const [lx, ly] = [point[0] - joint[0], point[1] - joint[1]];
    const [u, v] = [x - (c * lx - s * ly), y - (s * lx + c * ly)];
    const left = Math.hypot(u, v);
    if (left < worst.left) continue;
    const variance = left > 0 ? quadratic(covarianceAt(motion, point), [u / left, v / left]) : 0;
    worst = { left, sigma: Math.sqrt(Math.max(0, variance)) };
  }
  return worst;
}
