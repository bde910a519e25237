import { targetsFor } from '#drafting';
import { easeFor, leastGirths } from '#fit';
import type { FittingTargets } from '#fitting';
import { completeMeasures, type Body } from '#measurements';
import { edgesOf, measureBlock, type Block, type BlockFigures, type EdgeRole, type Piece } from '#pattern';
import { chordLengthMm, chordPoints } from './chords.js';

/** What a block of a shop would have to measure for a body, regular ease. */
export function targetsOf(body: Body): FittingTargets {
  const { measures } = completeMeasures(body);
  const leastMm = leastGirths(measures);
  return { ...targetsFor(measures, easeFor('regular', body.insideLegTaken, {})), leastMm };
}

/** The targets a block reaches as it is. */
export function ownTargets(block: Block): FittingTargets {
  const has = measureBlock(block, 0.001);
  const { hem, knee, crotch, hip } = block.levels;
  const sides = [block.front, block.back].map((piece) => edgesOf(piece, 'waist')[0].curve.p0.y);
  return {
    waistMm: has.waist,
    hipMm: has.hip,
    thighMm: has.thigh,
    kneeMm: has.knee,
    hemMm: has.hem,
    frontRiseMm: has.frontRise,
    backRiseMm: has.backRise,
    inseamMm: has.inseamFront,
    outseamMm: has.outseamFront,
    backInseamStretchMm: has.inseamFront - has.inseamBack,
    waistLevelMm: (sides[0] + sides[1]) / 2,
    bodyHipLevelMm: hip,
    crotchLevelMm: crotch,
    kneeLevelMm: knee,
    hemLevelMm: hem,
    leastMm: {
      waist: has.waist - 5,
      hip: has.hip - 10,
      thigh: has.thigh - 50,
      knee: has.knee - 30,
      hem: has.hem - 10,
    },
  };
}

/** Whether every length of a body's garment is within 15 % of the block's own. */
export function isNear(block: Block, targets: FittingTargets): boolean {
  return offFigures(measureBlock(block, 0.01), targets) <= 0.15;
}

/** How far off the block a body's garment is in the measure that is furthest off, as a share of the block's own. */
export function offFigures(has: BlockFigures, targets: FittingTargets): number {
  const pairs = [
    [targets.waistMm, has.waist],
    [targets.hipMm, has.hip],
    [targets.thighMm, has.thigh],
    [targets.kneeMm, has.knee],
    [targets.hemMm, has.hem],
    [targets.frontRiseMm, has.frontRise],
    [targets.backRiseMm, has.backRise],
    [targets.frontRiseMm + targets.backRiseMm, has.totalRise],
    [targets.inseamMm, has.inseamFront],
    [targets.outseamMm, has.outseamFront],
  ];
  return Math.max(...pairs.map(([wanted, own]) => Math.abs(wanted / own - 1)));
}

/** The body measures a block was drawn for, in mm. */
export type BlockSize = Readonly<
  Record<'waistGirth' | 'hipGirth' | 'waistHeight' | 'insideLegLength', number>
>;

/** Whether a body is within 15 % of a block's own size. */
export function isNearSize(body: Body, size: BlockSize): boolean {
  return offSize(body, size) <= 0.15;
}

export function nearestFirst(bodies: readonly Body[], size: BlockSize): Body[] {
  return [...bodies].sort((a, b) => offSize(a, size) - offSize(b, size));
}

function offSize({ measures }: Body, size: BlockSize): number {
  const names = Object.keys(size) as (keyof BlockSize)[];
  return Math.max(...names.map((name) => Math.abs((measures[name] ?? 0) / size[name] - 1)));
}

/**
 * A block measured by chords and nothing of the library's: 400 to a curve, sections where chords cross a level.
 * Chords of a seam of 400 mm are short of it by less than 0.003 mm.
 */
export function figuresByChords({ front, back, levels }: Block): BlockFigures {
  const seam = (piece: Piece, role: EdgeRole): number =>
    chordLengthMm(
      edgesOf(piece, role).map(({ curve }) => curve),
      CHORDS,
    );
  const both = (measure: (piece: Piece) => number): number => measure(front) + measure(back);
  const width = (piece: Piece, y: number): number =>
    Math.max(...xsAt(piece, ['rise', 'inseam'], y)) - Math.min(...xsAt(piece, ['outseam'], y));
  const forkWidth = (piece: Piece): number => {
    const fork = edgesOf(piece, 'inseam')[0].curve.p0;
    return fork.x - Math.min(...xsAt(piece, ['outseam'], fork.y));
  };
  return {
    waist: 2 * both((piece) => seam(piece, 'waist')),
    hip: 2 * both((piece) => width(piece, levels.hip)),
    thigh: both(forkWidth),
    knee: both((piece) => width(piece, levels.knee)),
    hem: both((piece) => seam(piece, 'hem')),
    frontRise: seam(front, 'rise'),
    backRise: seam(back, 'rise'),
    totalRise: both((piece) => seam(piece, 'rise')),
    inseamFront: seam(front, 'inseam'),
    inseamBack: seam(back, 'inseam'),
    outseamFront: seam(front, 'outseam'),
    outseamBack: seam(back, 'outseam'),
  };
}

const CHORDS = 400;

/** A level that falls on the joint of two edges is looked for a hair above it. */
const HAIR_MM = 1e-7;

function xsAt(piece: Piece, roles: readonly EdgeRole[], y: number): number[] {
  return piece.edges
    .filter(({ role }) => roles.includes(role))
    .flatMap(({ curve }) => {
      const points = chordPoints(curve, CHORDS);
      return points.slice(1).flatMap((p, i) => {
        const q = points[i];
        if ((q.y - y - HAIR_MM) * (p.y - y - HAIR_MM) > 0) return [];
        return [p.y === q.y ? p.x : q.x + ((p.x - q.x) * (y - q.y)) / (p.y - q.y)];
      });
    });
}
