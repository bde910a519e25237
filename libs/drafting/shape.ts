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
import {
  ALL_PARTS,
  CROTCH,
  INSEAM,
  PARAMETERS_OF_PIECE,
  SIDE,
  SKELETON,
  skeletonOf,
  WAIST,
  type Frame,
  type Skeleton,
} from './skeleton.js';

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
 * It keeps the pieces it drew last: most parameters touch one or two seams of one piece, and a search that changes
 * them one at a time then draws a quarter as much. The results are the same, bit for bit.
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

/** A piece with the parameters it was drawn from, so that the next one can take over what they share. */
interface Drawing {
  readonly values: readonly number[];
  readonly skeleton: Skeleton;
  readonly forkSlope: number;
  readonly side: SideSeam;
  readonly crotch: CrotchSeam;
  readonly waist: ClosedWaist;
  readonly inseam: Inseam;
  readonly shape: PieceShape;
}

// Two drawings are kept: a search changes one parameter after another from the same place, and the drawing of that
// place is always the nearer of the two. The new one takes the room of the other.
function pieceDrawerFor(frame: Frame, role: PieceRole): PieceDrawer {
  const { indexes, touches } = PARAMETERS_OF_PIECE[role];
  const kept: (Drawing | undefined)[] = [undefined, undefined];
  let nearest = 0;
  let touched = ALL_PARTS;
  let skeleton: Skeleton | undefined;
  const partsChanged = (p: Float64Array, drawing: Drawing | undefined): number => {
    if (drawing === undefined) return ALL_PARTS;
    let parts = 0;
    for (let i = 0; i < indexes.length; i++) if (p[indexes[i]] !== drawing.values[i]) parts |= touches[i];
    return parts;
  };
  return {
    skeletonAt: (p) => {
      const first = partsChanged(p, kept[0]);
      const second = partsChanged(p, kept[1]);
      nearest = partCount(first) <= partCount(second) ? 0 : 1;
      touched = nearest === 0 ? first : second;
      const last = kept[nearest];
      skeleton =
        last === undefined || (touched & SKELETON) !== 0 ? skeletonOf(p, frame, role) : last.skeleton;
      return skeleton;
    },
    pieceAt: (p, forkSlope) => {
      const last = kept[nearest];
      if (last !== undefined && touched === 0 && last.forkSlope === forkSlope) return last.shape;
      const slopeTouches = last?.forkSlope === forkSlope ? 0 : CROTCH;
      const bones = skeleton ?? skeletonOf(p, frame, role);
      const values = indexes.map((index) => p[index]);
      const drawing = redrawn(p, frame, { values, skeleton: bones, forkSlope }, last, touched | slopeTouches);
      kept[1 - nearest] = drawing;
      return drawing.shape;
    },
  };
}

function partCount(parts: number): number {
  let count = 0;
  for (let rest = parts; rest !== 0; rest &= rest - 1) count++;
  return count;
}

function redrawn(
  p: Float64Array,
  frame: Frame,
  from: Pick<Drawing, 'values' | 'skeleton' | 'forkSlope'>,
  last: Drawing | undefined,
  touched: number,
): Drawing {
  const { skeleton, forkSlope } = from;
  const leg = legBelowKnee(skeleton, frame);
  const isKept = (part: number): boolean => (touched & part) === 0;
  const side = last !== undefined && isKept(SIDE) ? last.side : sideSeam(p, skeleton, leg);
  const crotch =
    last !== undefined && isKept(CROTCH) ? last.crotch : crotchSeam(p, frame, skeleton, forkSlope);
  const waist =
    last !== undefined && isKept(WAIST) ? last.waist : closedWaistOf(p, frame, skeleton, side.topLean);
  const inseam = last !== undefined && isKept(INSEAM) ? last.inseam : inseamOf(skeleton, leg);
  const widthAtForkMm =
    last !== undefined && isKept(SIDE | INSEAM)
      ? last.shape.widthAtForkMm
      : skeleton.fork.x - xAtLevel(side.middle, skeleton.fork.y);
  const shape = pieceShape(skeleton, leg, { side, crotch, waist, inseam }, widthAtForkMm);
  return { values: from.values, skeleton, forkSlope, side, crotch, waist, inseam, shape };
}

interface LegBelowKnee {
  readonly hemIn: Point;
  readonly hemOut: Point;
  readonly kneeIn: Point;
  readonly kneeOut: Point;
  readonly belowKneeMm: number;
}

function legBelowKnee({ kneeHalfMm, hemHalfMm }: Skeleton, { targets }: Frame): LegBelowKnee {
  const { kneeLevelMm, hemLevelMm } = targets;
  const hemIn = at(hemHalfMm, hemLevelMm);
  const kneeIn = at(kneeHalfMm, kneeLevelMm);
  return {
    hemIn,
    hemOut: at(-hemHalfMm, hemLevelMm),
    kneeIn,
    kneeOut: at(-kneeHalfMm, kneeLevelMm),
    belowKneeMm: distance(kneeIn, hemIn),
  };
}

function pieceShape(
  skeleton: Skeleton,
  { hemIn, hemOut, kneeIn, kneeOut }: LegBelowKnee,
  { side, crotch, waist, inseam }: Pick<Drawing, 'side' | 'crotch' | 'waist' | 'inseam'>,
  widthAtForkMm: number,
): PieceShape {
  return {
    fork: skeleton.fork,
    sideHip: skeleton.sideHip,
    centreWaist: skeleton.centreWaist,
    sideWaist: skeleton.sideWaist,
    riseStraight: crotch.riseStraight,
    crotch: crotch.crotch,
    forkStraight: crotch.forkStraight,
    centreArmMm: crotch.centreArmMm,
    forkArmMm: crotch.forkArmMm,
    inseamUpper: inseam.inseamUpper,
    inseamLower: line(kneeIn, hemIn),
    hem: line(hemIn, hemOut),
    outseamLower: line(hemOut, kneeOut),
    outseamMiddle: side.middle,
    outseamUpper: side.upper,
    closedWaist: waist.closedWaist,
    darts: waist.darts,
    extensionMm: skeleton.extensionMm,
    inseamLean: skeleton.inseamLean,
    kneeLean: skeleton.kneeLean,
    sideLean: side.chordLean,
    widthAtForkMm,
    riseMm: crotch.riseMm,
    inseamMm: inseam.inseamMm,
    outseamMm: side.outseamMm,
    waistMm: waist.waistMm,
  };
}

interface ClosedWaist {
  readonly closedWaist: CubicBezier;
  readonly darts: readonly DartShape[];
  readonly waistMm: number;
}

function closedWaistOf(p: Float64Array, frame: Frame, skeleton: Skeleton, topLean: number): ClosedWaist {
  const { closedWaist, darts } = waistAndDarts(p, frame, skeleton, topLean);
  return { closedWaist, darts, waistMm: quadratureLength(closedWaist) };
}

interface Inseam {
  readonly inseamUpper: CubicBezier;
  readonly inseamMm: number;
}

function inseamOf(skeleton: Skeleton, { kneeIn, belowKneeMm }: LegBelowKnee): Inseam {
  const inseamUpper = inseamCurve(skeleton, kneeIn);
  return { inseamUpper, inseamMm: quadratureLength(inseamUpper) + belowKneeMm };
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

type CrotchSeam = Pick<
  PieceShape,
  'riseStraight' | 'crotch' | 'forkStraight' | 'centreArmMm' | 'forkArmMm' | 'riseMm'
>;

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
  const riseStraight = line(centreWaist, start);
  const crotch = cubic(
    start,
    along(start, centreUp, -fullness * centreUsedMm),
    along(end, towardsFork, -fullness * forkUsedMm),
    end,
  );
  const forkStraight = line(end, fork);
  const riseMm = quadratureLength(riseStraight) + quadratureLength(crotch) + quadratureLength(forkStraight);
  return { riseStraight, crotch, forkStraight, centreArmMm, forkArmMm, riseMm };
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
  readonly outseamMm: number;
}

function sideSeam(
  p: Float64Array,
  skeleton: Skeleton,
  { kneeOut: knee, belowKneeMm }: LegBelowKnee,
): SideSeam {
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
  const outseamMm = belowKneeMm + quadratureLength(middle) + quadratureLength(upper);
  return { middle, upper, chordLean, topLean, outseamMm };
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
