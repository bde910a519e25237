import { cross, curvatureRange, DEG, pointAt, unit, way, type CubicBezier } from '#geometry';
import { dartCuts } from './block-pieces.js';
import type { PieceShape } from './shape.js';

/** Why a solved block is not one a cutter would sign. */
export type Invalidity =
  | 'NOT_FINITE'
  | 'CROTCH_CORNER_HOOKED'
  | 'CROTCH_INFLECTS'
  | 'CROTCH_TIGHT'
  | 'INSEAM_INFLECTS'
  | 'INSEAM_LEANS'
  | 'HIP_CURVE_INFLECTS'
  | 'WAIST_WAVES'
  | 'WAIST_TIGHT'
  | 'DART_OUT_OF_RANGE'
  | 'SIDE_LEANS';

/** Limits of a block a cutter would sign: common practice, no source, set on the bodies of ANSUR II. */
const LIMITS = {
  crotchRadiusMm: 12,
  /** Curvature of the wrong sign this small is a straight line with rounding. */
  inflectionPerMm: 4e-4,
  waistWaveMm: 2,
  waistRadiusMm: 60,
  dartIntakeMm: [7.5, 48],
  inseamLeanRad: 40 * DEG,
  sideLeanRad: 35 * DEG,
} as const;

const CURVATURE_SAMPLES = 48;

/** Everything about one drafted piece that a cutter would send back; empty when it is sound. */
export function invalidities(piece: PieceShape): Invalidity[] {
  if (!isFinite(piece)) return ['NOT_FINITE'];
  const found: Invalidity[] = [];
  if (!(piece.centreArmMm > 0 && piece.forkArmMm > 0)) return ['CROTCH_CORNER_HOOKED'];
  const crotch = curvatureRange(piece.crotch, CURVATURE_SAMPLES);
  // Travelled from waist to fork the crotch turns left all the way.
  if (crotch.min < -LIMITS.inflectionPerMm) found.push('CROTCH_INFLECTS');
  if (crotch.max > 1 / LIMITS.crotchRadiusMm) found.push('CROTCH_TIGHT');
  const inseam = curvatureRange(piece.inseamUpper, CURVATURE_SAMPLES);
  if (inseam.min < -LIMITS.inflectionPerMm) found.push('INSEAM_INFLECTS');
  if (Math.abs(piece.inseamLean) > LIMITS.inseamLeanRad) found.push('INSEAM_LEANS');
  const hip = curvatureRange(piece.outseamUpper, CURVATURE_SAMPLES);
  if (hip.min < -LIMITS.inflectionPerMm && hip.max > LIMITS.inflectionPerMm) found.push('HIP_CURVE_INFLECTS');
  if (waveMm(piece.closedWaist) > LIMITS.waistWaveMm) found.push('WAIST_WAVES');
  const waist = curvatureRange(piece.closedWaist, CURVATURE_SAMPLES);
  if (Math.max(waist.max, -waist.min) > 1 / LIMITS.waistRadiusMm) found.push('WAIST_TIGHT');
  if (!dartsAreSound(piece)) found.push('DART_OUT_OF_RANGE');
  if (Math.abs(piece.sideLean) > LIMITS.sideLeanRad) found.push('SIDE_LEANS');
  return found;
}

function isFinite(piece: PieceShape): boolean {
  const curves = [
    piece.crotch,
    piece.inseamUpper,
    piece.outseamMiddle,
    piece.outseamUpper,
    piece.closedWaist,
  ];
  return curves.every((c) =>
    [c.p0, c.p1, c.p2, c.p3].every((p) => Number.isFinite(p.x) && Number.isFinite(p.y)),
  );
}

/**
 * Height of the smaller of the two waves of an S-shaped curve about its chord; 0 for a plain arc.
 *
 * An S crosses its chord once; the part on the smaller side is the wave a cutter would see.
 */
function waveMm(curve: CubicBezier): number {
  const chord = unit(way(curve.p0, curve.p3));
  let above = 0;
  let below = 0;
  for (let i = 1; i < 32; i++) {
    const off = cross(chord, way(curve.p0, pointAt(curve, i / 32)));
    above = Math.max(above, off);
    below = Math.max(below, -off);
  }
  return Math.min(above, below);
}

function dartsAreSound(piece: PieceShape): boolean {
  const cuts = dartCuts(piece);
  if (cuts === undefined) return false;
  const [least, most] = LIMITS.dartIntakeMm;
  return cuts.every(({ dart, intakeMm }) => {
    const inside = dart.apex.x > piece.sideHip.x && dart.apex.y > piece.sideHip.y;
    return inside && intakeMm >= least && intakeMm <= most;
  });
}
