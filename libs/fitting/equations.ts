import { crossingsWithLine, pointAt, quadratureLength, startOf, type Curve } from '#geometry';
import type { PieceRole } from '#pattern';
import type { RedrawnBlock, RedrawnPiece } from './redraw.js';
import type { ReadyBlock, ReadyPiece } from './stations.js';

export const GIRTHS = ['waist', 'hip', 'thigh', 'knee', 'hem'] as const;
export type Girth = (typeof GIRTHS)[number];

/** Every length a fitted block must reach, in mm: body and ease, as the from-body draft has them. */
export interface FittingTargets {
  readonly waistMm: number;
  readonly hipMm: number;
  readonly thighMm: number;
  readonly kneeMm: number;
  readonly hemMm: number;
  readonly frontRiseMm: number;
  readonly backRiseMm: number;
  /** At the ordered depth; a fork that hangs lower has an inseam shorter by as much. */
  readonly inseamMm: number;
  readonly outseamMm: number;
  readonly backInseamStretchMm: number;
  readonly waistLevelMm: number;
  readonly bodyHipLevelMm: number;
  readonly crotchLevelMm: number;
  readonly kneeLevelMm: number;
  readonly hemLevelMm: number;
  /** Body and least ease: no girth that yields to the block's line comes under this. */
  readonly leastMm: Readonly<Record<Girth, number>>;
}

/** What must be reached exactly. How the crotch length divides into front and back is a soft landmark. */
export const EQUATIONS = [
  'waist',
  'hip',
  'thigh',
  'knee',
  'hem',
  'totalRise',
  'inseamFront',
  'inseamBack',
  'outseamFront',
  'outseamBack',
] as const;
export type Equation = (typeof EQUATIONS)[number];

/** The lengths of a redrawn block by fast quadrature: for solving, not for reporting. NaN where a seam misses a level. */
export type FastFigures = Readonly<Record<Equation | 'frontRise' | 'backRise', number>>;

export interface FastLevels {
  readonly hip: number;
  readonly knee: number;
}

export function fastFigures(ready: ReadyBlock, drawn: RedrawnBlock, levels: FastLevels): FastFigures {
  const seam = (role: PieceRole, name: string): number => seamMm(ready[role], drawn[role], name);
  const both = (measure: (ready: ReadyPiece, drawn: RedrawnPiece) => number): number =>
    measure(ready.front, drawn.front) + measure(ready.back, drawn.back);
  const frontRise = seam('front', 'rise');
  const backRise = seam('back', 'rise');
  return {
    waist: 2 * (seam('front', 'waist') + seam('back', 'waist')),
    hip: 2 * both((piece, curves) => sectionMm(piece, curves, levels.hip)),
    thigh: both(forkWidthMm),
    knee: both((piece, curves) => sectionMm(piece, curves, levels.knee)),
    hem: seam('front', 'hem') + seam('back', 'hem'),
    frontRise,
    backRise,
    totalRise: frontRise + backRise,
    inseamFront: seam('front', 'inseam'),
    inseamBack: seam('back', 'inseam'),
    outseamFront: seam('front', 'outseam'),
    outseamBack: seam('back', 'outseam'),
  };
}

function seamMm(ready: ReadyPiece, { curves }: RedrawnPiece, role: string): number {
  let mm = 0;
  ready.strands.forEach(({ edge }, i) => {
    if (edge.role === role) mm += quadratureLength(curves[i]);
  });
  return mm;
}

function sectionMm(ready: ReadyPiece, drawn: RedrawnPiece, levelMm: number): number {
  return outermost(ready, drawn, ['inseam', 'rise'], levelMm) - side(ready, drawn, levelMm);
}

function forkWidthMm(ready: ReadyPiece, drawn: RedrawnPiece): number {
  const fork = startOf(drawn.curves[ready.strands.findIndex(({ edge }) => edge.role === 'inseam')]);
  return fork.x - side(ready, drawn, fork.y);
}

function side(ready: ReadyPiece, drawn: RedrawnPiece, levelMm: number): number {
  return -outermost(ready, drawn, ['outseam'], levelMm, -1);
}

function outermost(
  ready: ReadyPiece,
  { curves }: RedrawnPiece,
  roles: readonly string[],
  levelMm: number,
  sign: 1 | -1 = 1,
): number {
  let most = Number.NaN;
  ready.strands.forEach(({ edge }, i) => {
    if (!roles.includes(edge.role)) return;
    for (const x of crossings(curves[i], levelMm)) if (!(sign * x <= most)) most = sign * x;
  });
  return most;
}

function crossings(curve: Curve, levelMm: number): number[] {
  return crossingsWithLine(curve, { x: 0, y: levelMm }, { x: 1, y: 0 }).map((t) => pointAt(curve, t).x);
}

/** What each equation misses, in mm: drafted less target. */
export function writeErrors(
  figures: FastFigures,
  targets: FittingTargets,
  depthMm: number,
  out: Float64Array,
): void {
  const inseamMm = targets.inseamMm - depthMm;
  const wanted: Readonly<Record<Equation, number>> = {
    waist: targets.waistMm,
    hip: targets.hipMm,
    thigh: targets.thighMm,
    knee: targets.kneeMm,
    hem: targets.hemMm,
    totalRise: targets.frontRiseMm + targets.backRiseMm,
    inseamFront: inseamMm,
    inseamBack: inseamMm - targets.backInseamStretchMm,
    outseamFront: targets.outseamMm,
    outseamBack: targets.outseamMm,
  };
  EQUATIONS.forEach((name, i) => (out[i] = figures[name] - wanted[name]));
}
