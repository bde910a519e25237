import { along, at, DEG, type Point } from '#geometry';
import type { PieceRole } from '#pattern';
import { INDEX, type DartCounts, type Parameter } from './parameters.js';
import { legWidthMm, panelMm, type Targets } from './targets.js';

/** What stays the same while the parameters of one attempt vary. */
export interface Frame {
  readonly targets: Targets;
  readonly hipLevelMm: number;
  readonly darts: DartCounts;
  /** Whether the crotch curve ends in a short straight before the fork, per piece. */
  readonly straightAtFork: Readonly<Record<PieceRole, boolean>>;
}

/** Parameters of one piece under one name. */
interface PieceParameters {
  readonly fork: Parameter;
  readonly lean: Parameter;
  readonly centreRaise: Parameter;
  readonly fullness: Parameter;
  readonly side: Parameter;
  readonly sideRaise: Parameter;
  readonly dart: Parameter;
  readonly hipLean: Parameter;
}

const OF_PIECE: Readonly<Record<PieceRole, PieceParameters>> = {
  front: {
    fork: 'frontFork',
    lean: 'frontLean',
    centreRaise: 'frontCentreRaise',
    fullness: 'frontFullness',
    side: 'frontSide',
    sideRaise: 'frontSideRaise',
    dart: 'frontDart',
    hipLean: 'frontHipLean',
  },
  back: {
    fork: 'backFork',
    lean: 'seatAngle',
    centreRaise: 'backCentreRaise',
    fullness: 'backFullness',
    side: 'backSide',
    sideRaise: 'backSideRaise',
    dart: 'backDart',
    hipLean: 'backHipLean',
  },
};

/** Parts of a drawing, as bits: what has to be drawn anew when a parameter changes. */
export const SKELETON = 1;
export const SIDE = 2;
export const CROTCH = 4;
export const WAIST = 8;
export const INSEAM = 16;
export const ALL_PARTS = SKELETON | SIDE | CROTCH | WAIST | INSEAM;

// The fork and the crease move the whole piece sideways, because the crease lies midway between side and fork.
const TOUCHED_BY: Readonly<Record<keyof PieceParameters, number>> = {
  fork: ALL_PARTS,
  lean: SKELETON | CROTCH | WAIST,
  centreRaise: SKELETON | CROTCH | WAIST,
  fullness: CROTCH,
  side: SKELETON | SIDE | WAIST,
  sideRaise: SKELETON | SIDE | CROTCH | WAIST,
  dart: WAIST,
  hipLean: SIDE | WAIST,
};

const TOUCHED_BY_SHARED: Readonly<Partial<Record<Parameter, number>>> = {
  forkShift: SKELETON | CROTCH | INSEAM,
  depthMove: SKELETON | CROTCH | INSEAM,
  sideCornerSplit: WAIST,
};

const TOUCHED_BY_BACK_ONLY: Readonly<Partial<Record<Parameter, number>>> = {
  backForkDrop: SKELETON | CROTCH | INSEAM,
  backCrease: ALL_PARTS,
};

/** Every parameter that a piece depends on, and the parts that each touches, in one order. */
export const PARAMETERS_OF_PIECE: Readonly<
  Record<PieceRole, { readonly indexes: readonly number[]; readonly touches: readonly number[] }>
> = { front: parametersOf('front'), back: parametersOf('back') };

function parametersOf(role: PieceRole): { indexes: number[]; touches: number[] } {
  const names = OF_PIECE[role];
  const own = (Object.keys(TOUCHED_BY) as (keyof PieceParameters)[]).map((key): [string, number] => [
    names[key],
    TOUCHED_BY[key],
  ]);
  const others = { ...TOUCHED_BY_SHARED, ...(role === 'back' ? TOUCHED_BY_BACK_ONLY : {}) };
  const entries = [...own, ...Object.entries(others)];
  return {
    indexes: entries.map(([name]) => INDEX[name as Parameter]),
    touches: entries.map(([, parts]) => parts),
  };
}

/** The corners and directions of one piece, from which its curves are drawn. */
export interface Skeleton {
  readonly role: PieceRole;
  readonly names: PieceParameters;
  readonly fork: Point;
  readonly sideHip: Point;
  readonly centreHip: Point;
  /** Upwards along the centre line. */
  readonly centreUp: Point;
  readonly centreWaist: Point;
  readonly sideWaist: Point;
  readonly kneeHalfMm: number;
  readonly hemHalfMm: number;
  readonly extensionMm: number;
  readonly kneeLean: number;
  readonly inseamLean: number;
}

/** How far the inseam's lean at the fork goes beyond its chord's, in parts of the chord's lean over the knee's. */
const INSEAM_LEAN_SHARE = 0.6;

export function skeletonOf(p: Float64Array, frame: Frame, role: PieceRole): Skeleton {
  const { targets, hipLevelMm } = frame;
  const names = OF_PIECE[role];
  const panel = panelMm(targets.hipMm, role);
  const extensionMm = p[INDEX[names.fork]] * targets.bodyHipMm;
  const creaseToSideMm = (panel + extensionMm) / 2 - (role === 'back' ? p[INDEX.backCrease] : 0);
  const forkLevelMm =
    targets.crotchLevelMm -
    p[INDEX.depthMove] +
    p[INDEX.forkShift] -
    (role === 'back' ? p[INDEX.backForkDrop] : 0);
  const fork = at(panel + extensionMm - creaseToSideMm, forkLevelMm);
  const sideHip = at(-creaseToSideMm, hipLevelMm);
  const centreHip = at(panel - creaseToSideMm, hipLevelMm);
  const lean = p[INDEX[names.lean]] * DEG;
  const centreUp = at(-Math.sin(lean), Math.cos(lean));
  const sideRaise = p[INDEX[names.sideRaise]];
  const centreRiseMm = targets.waistLevelMm + sideRaise + p[INDEX[names.centreRaise]] - hipLevelMm;
  const kneeHalfMm = legWidthMm(targets.kneeMm, role) / 2;
  const hemHalfMm = legWidthMm(targets.hemMm, role) / 2;
  const kneeLean = Math.atan2(kneeHalfMm - hemHalfMm, targets.kneeLevelMm - targets.hemLevelMm);
  const chordLean = Math.atan2(fork.x - kneeHalfMm, fork.y - targets.kneeLevelMm);
  return {
    role,
    names,
    fork,
    sideHip,
    centreHip,
    centreUp,
    centreWaist: along(centreHip, centreUp, centreRiseMm / Math.cos(lean)),
    sideWaist: at(sideHip.x + p[INDEX[names.side]], targets.waistLevelMm + sideRaise),
    kneeHalfMm,
    hemHalfMm,
    extensionMm,
    kneeLean,
    inseamLean: chordLean + INSEAM_LEAN_SHARE * (chordLean - kneeLean),
  };
}
