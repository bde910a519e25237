import type { Point } from '#geometry';
import { edgesOf, pieceOf, seamAtLevel } from '#pattern';
import { carryOnAlong, intersectLineWithLevel } from '../level-line.js';
import { pointAlongHem } from '../move-hem-point.js';
import type { Operation } from '../operation.js';
import { done, renamed, type Outcome } from '../outcome.js';
import { seamMissesLevel } from '../redraw-seam.js';
import { LEG_AND_HEM_SEAMS } from './argument-words.js';

export const CARRY_ON_ALONG: Operation = {
  name: 'carry on along',
  version: 1,
  summary: 'Carries a straight line on past its end and marks the point.',
  sentence: 'Carry the line from {from} through {through} on by {by}',
  scope: 'points',
  arguments: {
    from: { kind: 'point', says: 'where the line comes from' },
    through: { kind: 'point', says: 'the end it is carried on past' },
    by: { kind: 'length', says: 'how far; negative stops short of the end' },
  },
  results: { point: 'point' },
  run: ({ block, args }) =>
    renamed(carryOnAlong(args.point('from'), args.point('through'), args.number('by')), (point) => ({
      block,
      results: { point },
    })),
};

export const MEET_LEVEL: Operation = {
  name: 'meet level',
  version: 1,
  summary: 'Marks where the straight line through two points meets a level.',
  sentence: 'Carry the line from {from} through {through} to the level at {level}',
  scope: 'points',
  arguments: {
    from: { kind: 'point', says: 'one point of the line' },
    through: { kind: 'point', says: 'another point of the line' },
    level: { kind: 'length', says: 'height of the level above the floor' },
  },
  results: { point: 'point' },
  run: ({ block, args }) => {
    const levelMm = args.number('level');
    const met = intersectLineWithLevel(args.point('from'), args.point('through'), levelMm);
    // The level itself, not its rounding along the slanted line.
    return renamed(met, ({ x }) => ({ block, results: { point: { x, y: levelMm } } }));
  },
};

/** Places along a seam are found this well. */
const PLACE_TOLERANCE_MM = 1e-4;

export const POINT_ON_SEAM: Operation = {
  name: 'point on seam',
  version: 1,
  summary: 'Marks a point of a seam, at a level or at a distance from its start.',
  sentence: 'Mark the {seam}[ at the level {level}][ {along} from its start]',
  scope: 'piece',
  arguments: {
    seam: { kind: 'seam', oneOf: LEG_AND_HEM_SEAMS, says: 'the seam' },
    level: { kind: 'length', optional: true, says: 'the level' },
    along: {
      kind: 'length',
      optional: true,
      says: 'the distance along it in outline order (rise from the waist, inseam from the fork, hem from the inseam, outseam from the hem); used where no level is given; negative lies on the straight line before its start',
    },
  },
  results: { point: 'point' },
  run: ({ block, role, args }): Outcome<{ block: typeof block; results: { point: Point } }> => {
    const piece = pieceOf(block, role);
    const seam = args.word('seam') as (typeof LEG_AND_HEM_SEAMS)[number];
    const levelMm = args.numberOr('level', undefined);
    if (levelMm === undefined) {
      const point = pointAlongHem(edgesOf(piece, seam), args.numberOr('along', 0), PLACE_TOLERANCE_MM);
      return done({ block, results: { point } });
    }
    const station = seamAtLevel(piece, seam, levelMm);
    if (station === undefined) return seamMissesLevel(piece, seam, levelMm);
    return done({ block, results: { point: station.point } });
  },
};
