import { DEG, endDirection, startDirection, way, type CubicBezier } from '#geometry';
import { ANYWHERE, footOf, INDEX, PARAMETERS, RULES, type Nominals } from './parameters.js';
import type { BlockShape } from './shape.js';
import type { Frame } from './skeleton.js';

/** The lengths a block must have, in the order of the equations. */
export const EQUATIONS = [
  'thigh',
  'inseamFront',
  'inseamBack',
  'outseamFront',
  'outseamBack',
  'waistFront',
  'waistBack',
  'totalRise',
] as const;
export type Equation = (typeof EQUATIONS)[number];

/** How hard the soft wishes pull in one attempt. */
export interface Wishes {
  /** Deviation of the split of the crotch length between front and back, in mm. */
  readonly splitDeviationMm: number;
  /** Factor on the wish for an even waist line. */
  readonly fairness: number;
}

/** Write every equation's error in mm: drafted minus target. */
export function writeEquations(p: Float64Array, shape: BlockShape, frame: Frame, errors: Float64Array): void {
  const { targets } = frame;
  const { front, back } = shape;
  const inseamTargetMm = targets.inseamMm - p[INDEX.depthMove];
  const waistMove = p[INDEX.waistToBack];
  errors[0] = front.widthAtForkMm + back.widthAtForkMm - targets.thighMm;
  errors[1] = front.inseamMm - inseamTargetMm;
  errors[2] = back.inseamMm - (inseamTargetMm - targets.backInseamStretchMm);
  errors[3] = front.outseamMm - targets.outseamMm;
  errors[4] = back.outseamMm - front.outseamMm;
  errors[5] = front.waistMm - (targets.waistMm / 4 + waistMove);
  errors[6] = back.waistMm - (targets.waistMm / 4 - waistMove);
  errors[7] = front.riseMm + back.riseMm - (targets.frontRiseMm + targets.backRiseMm);
}

/** Parameters that cost more towards the end of their ordinary range, with one residual each; flat, for the search. */
const GUARDED = PARAMETERS.flatMap((name, index) => {
  const { comfort, wall } = RULES[name];
  if (comfort === undefined && wall === undefined) return [];
  const zone = comfort?.zone ?? ANYWHERE;
  const foot = wall === undefined ? ANYWHERE : footOf(wall);
  return [
    {
      index,
      zoneLower: zone[0],
      zoneUpper: zone[1],
      width: comfort?.width ?? 1,
      footLower: foot[0],
      footUpper: foot[1],
      scale: wall?.scale ?? 1,
    },
  ];
});

/** Residuals per piece: even waist, no wave in it, two crotch arms, low corner, inseam lean twice. */
const PIECE_WISHES = 7;

/** Where the residual of the split stands; that of the side seams' match is behind it. */
export const SPLIT_RESIDUAL = PARAMETERS.length + GUARDED.length;

/** Deviations of all parameters, comfort zones and walls, wishes of two pieces, the split, and the match of the side seams. */
export const RESIDUAL_COUNT = SPLIT_RESIDUAL + 2 + 2 * PIECE_WISHES;

/** Deviations of the soft wishes: design choices, tuned on the bodies of ANSUR II (public survey, 2012). */
const WISH = {
  /** Chord of the closed waist against the mean of its end slopes: anything else is an S. */
  evenWaistRad: 3 * DEG,
  /** Over this the smaller wave of an S begins to be seen; at 2 mm a cutter sends it back, and the draft is made anew. */
  waveMm: 1.4,
  waveDeviationMm: 0.15,
  sideMatchRad: 6 * DEG,
  armMm: 4,
  /** The centre arm is at least this share of the way from hip to fork, the fork arm of the extension. */
  centreArmShare: 0.18,
  forkArmShare: 0.25,
  /** Under this the crotch corner sits so close to the hip line that the curve becomes a hook. */
  centreArmMm: 26,
  inseamLeanRad: 34 * DEG,
  inseamLeanDeviationRad: 1 * DEG,
} as const;

/**
 * Height of either wave of an even S whose handles are a third of its chord, per radian of skew and mm of length: the
 * largest value of t (1 - t) (1 - 2t).
 */
const WAVE_SHARE = Math.sqrt(3) / 18;

/** Write the residuals: each is how many deviations something is from where a cutter would like it. */
export function writeResiduals(
  p: Float64Array,
  shape: BlockShape,
  context: { readonly frame: Frame; readonly nominals: Nominals; readonly wishes: Wishes },
  residuals: Float64Array,
): void {
  const { nominals, wishes, frame } = context;
  let r = 0;
  for (let i = 0; i < PARAMETERS.length; i++)
    residuals[r++] = (p[i] - nominals.values[i]) / nominals.deviations[i];
  for (const guard of GUARDED) {
    const value = p[guard.index];
    const climb = Math.max(0, guard.footLower - value, value - guard.footUpper) / guard.scale;
    const strain = Math.max(0, guard.zoneLower - value, value - guard.zoneUpper) / guard.width;
    residuals[r++] = strain + climb * climb;
  }
  residuals[r++] = (shape.front.riseMm - frame.targets.frontRiseMm) / wishes.splitDeviationMm;
  residuals[r++] = (shape.front.sideLean - shape.back.sideLean) / WISH.sideMatchRad;
  for (const piece of [shape.front, shape.back]) {
    const depthMm = piece.sideHip.y - piece.fork.y;
    const skewRad = waistSkew(piece.closedWaist);
    residuals[r++] = (wishes.fairness * skewRad) / WISH.evenWaistRad;
    const waveMm = WAVE_SHARE * Math.abs(skewRad) * piece.waistMm;
    residuals[r++] = Math.max(0, waveMm - WISH.waveMm) / WISH.waveDeviationMm;
    residuals[r++] = Math.max(0, WISH.centreArmShare * depthMm - piece.centreArmMm) / WISH.armMm;
    residuals[r++] = Math.max(0, WISH.forkArmShare * piece.extensionMm - piece.forkArmMm) / WISH.armMm;
    residuals[r++] = Math.max(0, WISH.centreArmMm - piece.centreArmMm) / WISH.armMm;
    residuals[r++] = Math.max(0, piece.inseamLean - WISH.inseamLeanRad) / WISH.inseamLeanDeviationRad;
    residuals[r++] = Math.max(0, piece.kneeLean - piece.inseamLean) / WISH.inseamLeanDeviationRad;
  }
}

// Slope of the chord minus the mean slope of the ends: zero for an arc, large for an S.
function waistSkew(waist: CubicBezier): number {
  const chord = way(waist.p0, waist.p3);
  const start = startDirection(waist);
  const end = endDirection(waist);
  const mean = (Math.atan2(start.y, start.x) + Math.atan2(end.y, end.x)) / 2;
  return Math.atan2(chord.y, chord.x) - mean;
}
