import { edgesOf, pieceOf, type Block } from '#pattern';
import { blendCentre, squareToRise } from '../blend.js';
import { foldPleat } from '../fold-pleat.js';
import { moveWaist } from '../move-waist.js';
import type { Operated, Operation, OperationJob } from '../operation.js';
import { done, onBoth, renamed, type Outcome, type PiecePair } from '../outcome.js';
import { pivotDart } from '../pivot-dart.js';
import { refusedOnWaist } from '../finished-parts.js';
import { DARTS_WANTED, resizeWaist, type DartsWanted } from '../resize-girth.js';
import { runLengthMm } from '../run.js';
import { swingCentre } from '../swing-centre.js';
import { edgesOfWaist, waistLineOf } from '../waist-line.js';
import { withPiece } from './seams.js';

export const BLEND_WAIST: Operation = {
  name: 'blend waist',
  version: 2,
  summary: 'Blends the end of the waist into a moved centre point, square to the rise.',
  sentence: 'Blend the waist into {centre}, square to the rise to {fork}',
  scope: 'piece',
  arguments: {
    centre: { kind: 'point', says: 'the new centre waist' },
    fork: { kind: 'point', says: 'where the rise goes from there' },
  },
  results: {},
  run: ({ block, role, args }) => {
    const fixed = refusedOnWaist(block);
    if (fixed !== undefined) return fixed;
    const piece = pieceOf(block, role);
    const centre = args.point('centre');
    const waist = waistLineOf(piece);
    const last = waist.runs.length - 1;
    const blended = blendCentre(waist.runs[last], centre, squareToRise(centre, args.point('fork')));
    const rest = piece.edges.filter((edge) => edge.role !== 'waist' && edge.role !== 'dart');
    const edges = [...rest, ...edgesOfWaist({ ...waist, runs: waist.runs.with(last, blended) })];
    return withPiece(block, role, done({ ...piece, edges }));
  },
};

export const RESIZE_WAIST: Operation = {
  name: 'resize waist',
  version: 1,
  summary: 'Brings the waist seam to a length by its darts and, for the rest, by the side seams.',
  sentence:
    'Bring the waist seam of front and back together to {to}; darts: {darts}; a band that came with the block {band}',
  scope: 'pair',
  arguments: {
    to: { kind: 'length', says: 'front and back waist seam together, half the garment' },
    darts: {
      kind: 'choice',
      oneOf: DARTS_WANTED,
      says: 'released as far as the waist needs it, held as they are, or closed',
    },
    band: { kind: 'choice', oneOf: ['stays', 'follows'], says: 'whether its length follows the waist' },
  },
  results: { sideOut: 'length' },
  run: (job) => refusedOnWaist(job.block) ?? resized(job),
};

function resized({ block, args }: OperationJob): Outcome<Operated> {
  const wasMm = waistOf(block);
  const toMm = args.number('to');
  const darts = args.word('darts') as DartsWanted;
  return renamed(resizeWaist(block, toMm, block.levels.hip, darts), ({ front, back, sideOutMm }) => {
    const band = args.word('band') === 'follows' ? bandBy(block, toMm - wasMm) : {};
    return { block: { ...block, front, back, ...band }, results: { sideOut: sideOutMm }, waistMm: 2 * toMm };
  });
}

/** Half the garment's waist: front and back. */
function waistOf({ front, back }: PiecePair): number {
  return runLengthMm([...edgesOf(front, 'waist'), ...edgesOf(back, 'waist')]);
}

/** A band that came with the block, longer by what half the waist has gained. */
function bandBy({ waistbandMm }: Block, halfMm: number): { waistbandMm?: number } {
  return waistbandMm === undefined ? {} : { waistbandMm: waistbandMm + 2 * halfMm };
}

export const SWING_CENTRE: Operation = {
  name: 'swing centre',
  version: 1,
  summary:
    'Swings the straight upper part of a rise sideways about its lower end; the waist stays square to it.',
  sentence: 'Swing the centre waist outwards by {by}',
  scope: 'piece',
  arguments: { by: { kind: 'length', says: 'how far the centre waist goes, negative inwards' } },
  results: {},
  run: ({ block, role, args }) =>
    refusedOnWaist(block) ?? withPiece(block, role, swingCentre(pieceOf(block, role), args.number('by'))),
};

export const MOVE_WAIST: Operation = {
  name: 'move waist',
  version: 1,
  summary:
    'Moves the waist up or down, parallel to itself, along rise, outseam and dart legs; a band that came with the block follows.',
  sentence: 'Move the waist up by {by}',
  scope: 'pair',
  arguments: { by: { kind: 'length', says: 'how far up, negative down' } },
  results: {},
  run: ({ block, args, tolerances }) => {
    const fixed = refusedOnWaist(block);
    if (fixed !== undefined) return fixed;
    const byMm = args.number('by');
    const moved = onBoth(block, (piece) => moveWaist(piece, byMm, block.levels.hip, tolerances.lengthMm));
    return renamed(moved, ({ front, back }) => ({
      block: { ...block, front, back, ...bandBy(block, waistOf({ front, back }) - waistOf(block)) },
    }));
  },
};

export const PIVOT_DART: Operation = {
  name: 'pivot dart',
  version: 1,
  summary: 'Moves a dart along the waist by turning it about its point; waist and dart keep their lengths.',
  sentence: 'Pivot dart {dart} (counted from the side) towards the side by {by}',
  scope: 'piece',
  arguments: {
    dart: { kind: 'ratio', says: 'which dart, counted from the side seam from 1' },
    by: { kind: 'length', says: 'how far along the waist, negative towards the centre' },
  },
  results: {},
  run: ({ block, role, args }) => {
    const fixed = refusedOnWaist(block);
    if (fixed !== undefined) return fixed;
    const index = Math.max(0, Math.round(args.number('dart')) - 1);
    return withPiece(block, role, pivotDart(pieceOf(block, role), index, args.number('by')));
  },
};

export const FOLD_PLEAT: Operation = {
  name: 'fold pleat',
  version: 1,
  summary: 'Slashes a piece from the waist, spreads it and folds the spread away as a pleat.',
  sentence: 'Fold a pleat of {depth} beside the crease by {beside}, spread down to {hinge}',
  scope: 'piece',
  arguments: {
    beside: { kind: 'length', says: 'how far from the crease towards the side' },
    depth: { kind: 'length', says: 'all that is folded away, twice what lies under the fold' },
    hinge: { kind: 'length', says: 'the level where the spread ends' },
  },
  results: {},
  run: ({ block, role, args }) => {
    // A second pleat beside the first is what a trouser with two has; only a casing stands in the way.
    const fixed = block.pullOn === true ? refusedOnWaist(block) : undefined;
    if (fixed !== undefined) return fixed;
    const pleat = {
      besideCreaseMm: args.number('beside'),
      depthMm: args.number('depth'),
      hingeMm: args.number('hinge'),
    };
    return renamed(foldPleat(pieceOf(block, role), pleat), ({ piece, findings }) => ({
      block: { ...block, [role]: piece },
      findings,
    }));
  },
};
