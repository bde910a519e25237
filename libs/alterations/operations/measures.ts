import { curvatureRange } from '#geometry';
import { edgesOf, inflectionsOf, pieceOf, sectionMm, sewnSectionMm } from '#pattern';
import { findTaper } from '../find-taper.js';
import type { Operation } from '../operation.js';
import { done, renamed } from '../outcome.js';
import { LEG_AND_HEM_SEAMS, type RunSeam } from './argument-words.js';

export const MEASURE_ACROSS: Operation = {
  name: 'measure across',
  version: 1,
  summary: 'Measures a piece across at a level, from the outseam to the inseam or rise.',
  sentence: 'Measure across at the level {level}',
  scope: 'piece',
  arguments: { level: { kind: 'length', says: 'the level' } },
  results: { width: 'length', sewn: 'length' },
  run: ({ block, role, args }) => {
    const piece = pieceOf(block, role);
    const levelMm = args.number('level');
    const results = { width: sectionMm(piece, levelMm), sewn: sewnSectionMm(piece, levelMm) };
    return done({ block, results });
  },
};

const CURVATURE_SAMPLES = 48;
/** Wider than any bend of a garment; what a straight seam is said to turn with. */
const STRAIGHT_RADIUS_MM = 1e6;

export const MEASURE_BEND: Operation = {
  name: 'measure bend',
  version: 1,
  summary: 'Measures how tightly a seam turns, and whether it bends one way only.',
  sentence: 'Measure the bend of the {seam}',
  scope: 'piece',
  arguments: { seam: { kind: 'seam', oneOf: LEG_AND_HEM_SEAMS, says: 'the seam' } },
  results: { radius: 'length', oneWay: 'yes-no' },
  run: ({ block, role, args }) => {
    const curves = edgesOf(pieceOf(block, role), args.word('seam') as RunSeam).map(({ curve }) => curve);
    const sharpest = curves.reduce((most, curve) => {
      if (curve.kind === 'line') return most;
      const { min, max } = curvatureRange(curve, CURVATURE_SAMPLES);
      return Math.max(most, -min, max);
    }, 1 / STRAIGHT_RADIUS_MM);
    const oneWay = curves.every((curve) => curve.kind === 'line' || inflectionsOf(curve).length === 0);
    return done({ block, results: { radius: 1 / sharpest, oneWay } });
  },
};

export const FIND_TAPER: Operation = {
  name: 'find taper level',
  version: 1,
  summary: 'Finds the level at which a redrawn inseam can become straight so that the thigh runs out evenly.',
  sentence:
    'Find where the inseam becomes straight, from {start} downwards to {floor} at the lowest, leaving {fork} at {lean} for {frontHem} and {backHem}',
  scope: 'pair',
  arguments: {
    fork: { kind: 'point', says: 'where both inseams start' },
    lean: { kind: 'angle', says: 'how far their start leans from the vertical towards the crease' },
    frontHem: { kind: 'point', says: 'where the front inseam ends' },
    backHem: { kind: 'point', says: 'where the back inseam ends' },
    start: { kind: 'length', says: 'the level to begin with' },
    floor: { kind: 'length', says: 'the lowest level it may be' },
    back: {
      kind: 'choice',
      oneOf: ['own', 'as-front'],
      says: 'whether the back keeps a taper point of its own',
    },
  },
  results: {
    level: 'length',
    front: 'point',
    back: 'point',
    frontOneWay: 'yes-no',
    backOneWay: 'yes-no',
  },
  run: ({ block, args }) => {
    const leanRad = args.number('lean');
    const found = findTaper({
      pieces: block,
      fork: args.point('fork'),
      leaving: { x: -Math.sin(leanRad), y: -Math.cos(leanRad) },
      hem: { front: args.point('frontHem'), back: args.point('backHem') },
      startMm: args.number('start'),
      floorMm: args.number('floor'),
      backAsFront: args.word('back') === 'as-front',
    });
    return renamed(found, ({ levelMm, front, back, frontOneWay, backOneWay }) => ({
      block,
      results: { level: levelMm, front, back, frontOneWay, backOneWay },
    }));
  },
};
