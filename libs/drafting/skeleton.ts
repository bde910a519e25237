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

const SHARED: readonly Parameter[] = ['forkShift', 'depthMove', 'sideCornerSplit'];
const OF_BACK_ONLY: readonly Parameter[] = ['backForkDrop', 'backCrease'];

/** Every parameter that a piece depends on. */
export const INDEXES_OF_PIECE: Readonly<Record<PieceRole, readonly number[]>> = {
  front: [...parametersOf('front'), ...SHARED].map((name) => INDEX[name]),
  back: [...parametersOf('back'), ...SHARED, ...OF_BACK_ONLY].map((name) => INDEX[name]),
};

function parametersOf(role: PieceRole): Parameter[] {
  return Object.values<Parameter>({ ...OF_PIECE[role] });
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
