import {
  along,
  at,
  cross,
  cubic,
  DEG,
  distance,
  dot,
  line,
  quadratureLength,
  way,
  type CubicBezier,
  type Line,
  type Point,
} from '#geometry';
import type { PieceRole } from '#pattern';
import { waistAndDarts, type DartShape } from './closed-waist.js';
import { INDEX } from './parameters.js';
import { INDEXES_OF_PIECE, skeletonOf, type Frame, type Skeleton } from './skeleton.js';

/** One piece as curves and the figures that equations and checks need. All lengths mm, angles radians. */
export interface PieceShape {
  readonly fork: Point;
  readonly sideHip: Point;
  readonly centreWaist: Point;
  readonly sideWaist: Point;
  readonly riseStraight: Line;
  readonly crotch: CubicBezier;
  readonly forkStraight: Line;
  readonly inseamUpper: CubicBezier;
  readonly inseamLower: Line;
  readonly hem: Line;
  readonly outseamLower: Line;
  readonly outseamMiddle: CubicBezier;
  readonly outseamUpper: CubicBezier;
  /** The waist as it is sewn: one curve from side to centre with every dart closed. */
  readonly closedWaist: CubicBezier;
  /** From centre to side. */
  readonly darts: readonly DartShape[];
  /** Arms of the crotch corner: along the centre line from the hip, along the fork tangent to the fork. */
  readonly centreArmMm: number;
  readonly forkArmMm: number;
  readonly extensionMm: number;
  readonly inseamLean: number;
  readonly kneeLean: number;
  /** Lean of the chord of the side seam from hip to waist, towards the centre. */
  readonly sideLean: number;
  readonly widthAtForkMm: number;
  /** Seam lengths by fixed quadrature: for solving. */
  readonly riseMm: number;
  readonly inseamMm: number;
  readonly outseamMm: number;
  readonly waistMm: number;
}

export interface BlockShape {
  readonly front: PieceShape;
  readonly back: PieceShape;
}

/**
 * The block of a set of parameters, in closed form.
 *
 * The pieces are drawn as a cutter draws them: hip line, centre line, fork, inseam, crotch curve, side seam, and
 * last the waist, in one line with the darts closed. So some things need no equation: hip, knee and hem widths,
 * dart legs, a waist square to the centre, corners that join smooth at the side and under the fork.
 *
 * Edges   parameters outside their bounds may give NaN coordinates; nothing is thrown.
 */
export function shapeOf(p: Float64Array, frame: Frame): BlockShape {
  return drawerFor(frame)(p);
}

/**
 * `shapeOf` for many sets of parameters of one frame.
 *
 * It keeps the pieces it drew last: most parameters touch one piece only, and a search that changes them one at a
 * time then draws half as much. The results are the same, bit for bit.
 */
export function drawerFor(frame: Frame): (p: Float64Array) => BlockShape {
  const front = pieceDrawerFor(frame, 'front');
  const back = pieceDrawerFor(frame, 'back');
  return (p) => {
    // One slope for both pieces at the fork: each corner then misses 90 degrees by what the other has too much.
    const forkSlope = (front.skeletonAt(p).inseamLean + back.skeletonAt(p).inseamLean) / 2;
    return { front: front.pieceAt(p, forkSlope), back: back.pieceAt(p, forkSlope) };
  };
}

interface PieceDrawer {
  skeletonAt(p: Float64Array): Skeleton;
  /** After `skeletonAt` of the same parameters. */
  pieceAt(p: Float64Array, forkSlope: number): PieceShape;
}

function pieceDrawerFor(frame: Frame, role: PieceRole): PieceDrawer {
  const indexes = INDEXES_OF_PIECE[role];
  const last = new Float64Array(indexes.length).fill(Number.NaN);
  let skeleton: Skeleton | undefined;
  let piece: PieceShape | undefined;
  let slope = Number.NaN;
  return {
    skeletonAt: (p) => {
      if (skeleton !== undefined && indexes.every((index, i) => p[index] === last[i])) return skeleton;
      indexes.forEach((index, i) => (last[i] = p[index]));
      piece = undefined;
      skeleton = skeletonOf(p, frame, role);
      return skeleton;
    },
    pieceAt: (p, forkSlope) => {
      if (piece !== undefined && slope === forkSlope) return piece;
      slope = forkSlope;
      piece = pieceShape(p, frame, skeleton ?? skeletonOf(p, frame, role), forkSlope);
      return piece;
    },
  };
}

function pieceShape(p: Float64Array, frame: Frame, skeleton: Skeleton, forkSlope: number): PieceShape {
  const { kneeHalfMm, hemHalfMm } = skeleton;
  const { kneeLevelMm, hemLevelMm } = frame.targets;
  const hemIn = at(hemHalfMm, hemLevelMm);
  const hemOut = at(-hemHalfMm, hemLevelMm);
  const kneeIn = at(kneeHalfMm, kneeLevelMm);
  const kneeOut = at(-kneeHalfMm, kneeLevelMm);
  const side = sideSeam(p, skeleton, kneeOut);
  const crotch = crotchSeam(p, frame, skeleton, forkSlope);
  const waist = waistAndDarts(p, frame, skeleton, side.topLean);
  const inseamUpper = inseamCurve(skeleton, kneeIn);
  const belowKneeMm = distance(kneeIn, hemIn);
  return {
    fork: skeleton.fork,
    sideHip: skeleton.sideHip,
    centreWaist: skeleton.centreWaist,
    sideWaist: skeleton.sideWaist,
    ...crotch,
    inseamUpper,
    inseamLower: line(kneeIn, hemIn),
    hem: line(hemIn, hemOut),
    outseamLower: line(hemOut, kneeOut),
    outseamMiddle: side.middle,
    outseamUpper: side.upper,
    ...waist,
    extensionMm: skeleton.extensionMm,
    inseamLean: skeleton.inseamLean,
    kneeLean: skeleton.kneeLean,
    sideLean: side.chordLean,
    widthAtForkMm: skeleton.fork.x - xAtLevel(side.middle, skeleton.fork.y),
    riseMm:
      quadratureLength(crotch.riseStraight) +
      quadratureLength(crotch.crotch) +
      quadratureLength(crotch.forkStraight),
    inseamMm: quadratureLength(inseamUpper) + belowKneeMm,
    outseamMm: belowKneeMm + quadratureLength(side.middle) + quadratureLength(side.upper),
    waistMm: quadratureLength(waist.closedWaist),
  };
}

// Leaves the fork along its lean and reaches the knee along the straight below it; with the lean at the fork
// beyond the chord's and the knee's short of it, the curve cannot inflect.
function inseamCurve(skeleton: Skeleton, knee: Point): CubicBezier {
  const { fork, inseamLean, kneeLean } = skeleton;
  const third = distance(fork, knee) / 3;
  return cubic(
    fork,
    at(fork.x - third * Math.sin(inseamLean), fork.y - third * Math.cos(inseamLean)),
    at(knee.x + third * Math.sin(kneeLean), knee.y + third * Math.cos(kneeLean)),
    knee,
  );
}

type CrotchSeam = Pick<PieceShape, 'riseStraight' | 'crotch' | 'forkStraight' | 'centreArmMm' | 'forkArmMm'>;

// The curve lies inside the corner of centre line and fork tangent. Neither arm is used for more than twice the
// other, which bounds the curvature; what is left of the longer one stays straight.
function crotchSeam(p: Float64Array, frame: Frame, skeleton: Skeleton, forkSlope: number): CrotchSeam {
  const { fork, centreHip, centreUp, centreWaist, role, names } = skeleton;
  const towardsFork = at(Math.cos(forkSlope), -Math.sin(forkSlope));
  const corner = cornerOf(centreHip, centreUp, fork, towardsFork);
  const centreArmMm = dot(way(corner, centreHip), centreUp);
  const forkArmMm = dot(way(corner, fork), towardsFork);
  const centreUsedMm = smoothMinimum(centreArmMm, 2 * forkArmMm);
  const forkUsedMm = frame.straightAtFork[role] ? smoothMinimum(forkArmMm, 2 * centreArmMm) : forkArmMm;
  const start = along(corner, centreUp, centreUsedMm);
  const end = frame.straightAtFork[role] ? along(corner, towardsFork, forkUsedMm) : fork;
  const fullness = p[INDEX[names.fullness]];
  return {
    riseStraight: line(centreWaist, start),
    crotch: cubic(
      start,
      along(start, centreUp, -fullness * centreUsedMm),
      along(end, towardsFork, -fullness * forkUsedMm),
      end,
    ),
    forkStraight: line(end, fork),
    centreArmMm,
    forkArmMm,
  };
}

function cornerOf(a: Point, u: Point, b: Point, v: Point): Point {
  return along(a, u, cross(way(a, b), v) / cross(u, v));
}

/** A minimum without a kink, 1.5 mm below both where they are equal: a hard one stops the solver's derivatives. */
function smoothMinimum(a: number, b: number): number {
  return (a + b - Math.sqrt((a - b) * (a - b) + 9)) / 2;
}

interface SideSeam {
  readonly middle: CubicBezier;
  readonly upper: CubicBezier;
  readonly chordLean: number;
  readonly topLean: number;
}

function sideSeam(p: Float64Array, skeleton: Skeleton, knee: Point): SideSeam {
  const { sideHip, sideWaist, kneeLean, names } = skeleton;
  const hipLean = p[INDEX[names.hipLean]] * DEG;
  const hipUp = at(-Math.sin(hipLean), Math.cos(hipLean));
  const chordMm = distance(knee, sideHip);
  const middle = cubic(
    knee,
    along(knee, at(-Math.sin(kneeLean), Math.cos(kneeLean)), 0.33 * chordMm),
    along(sideHip, hipUp, -0.36 * chordMm),
    sideHip,
  );
  const heightMm = sideWaist.y - sideHip.y;
  const chordLean = Math.atan2(sideWaist.x - sideHip.x, heightMm);
  // One and a half times the turn of the chord: the hip curve then bends one way only.
  const topLean = -hipLean + 1.5 * (chordLean + hipLean);
  const upper = cubic(
    sideHip,
    along(sideHip, hipUp, 0.3 * heightMm),
    along(sideWaist, at(Math.sin(topLean), Math.cos(topLean)), -0.4 * heightMm),
    sideWaist,
  );
  return { middle, upper, chordLean, topLean };
}

/** Newton steps to a level: the middle of the side seam rises evenly, four reach rounding, eight are safe. */
const LEVEL_STEPS = 8;

function xAtLevel(curve: CubicBezier, y: number): number {
  const { p0, p1, p2, p3 } = curve;
  let t = (y - p0.y) / (p3.y - p0.y);
  for (let step = 0; step < LEVEL_STEPS; step++) {
    const s = 1 - t;
    const value = s * s * s * p0.y + 3 * s * s * t * p1.y + 3 * s * t * t * p2.y + t * t * t * p3.y - y;
    const slope = 3 * (s * s * (p1.y - p0.y) + 2 * s * t * (p2.y - p1.y) + t * t * (p3.y - p2.y));
    t -= value / slope;
  }
  const s = 1 - t;
  return s * s * s * p0.x + 3 * s * s * t * p1.x + 3 * s * t * t * p2.x + t * t * t * p3.x;
}
