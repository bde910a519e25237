import { direction, type Point } from '#geometry';
import { edgesOf, pieceOf, withSeam, type Block, type Piece, type PieceRole } from '#pattern';
import { carrySeamEnd } from '../carry-seam-end.js';
import { copyEdge } from '../copy-edge.js';
import { keepBackInseam, matchInseams } from '../keep-back-inseam.js';
import { matchOutseam } from '../match-seam.js';
import { moveHemPointTo } from '../move-hem-point.js';
import type { Operated, Operation, OperationJob } from '../operation.js';
import { done, onBoth, renamed, type Outcome } from '../outcome.js';
import { redrawSeam, straightenSeam } from '../redraw-seam.js';
import { endOfRun, startOfRun } from '../run.js';
import { setLength } from '../set-length.js';
import { shiftSeam } from '../shift-seam.js';
import { refusedOnHem, refusedOnInseam } from '../finished-parts.js';
import { LEG_AND_HEM_SEAMS, LEG_SEAMS, type LegSeamName, type RunSeam } from './argument-words.js';

/** The block with one of its pieces exchanged. */
export function withPiece(block: Block, role: PieceRole, outcome: Outcome<Piece>): Outcome<Operated> {
  return renamed(outcome, (piece) => ({ block: { ...block, [role]: piece } }));
}

export const SET_LENGTH: Operation = {
  name: 'set length',
  version: 1,
  summary: 'Ends both legs at a new hem level: cut off above the old one, carried on straight below it.',
  sentence: 'End the leg at the level {level}',
  scope: 'pair',
  arguments: { level: { kind: 'length', says: 'height of the hem above the floor' } },
  results: {},
  run: ({ block, args, tolerances }) => {
    const fixed = refusedOnHem(block);
    if (fixed !== undefined) return fixed;
    const levelMm = args.number('level');
    const cut = onBoth(block, (piece) => setLength(piece, levelMm, tolerances.lengthMm));
    return renamed(cut, ({ front, back }) => ({
      block: { ...block, front, back, levels: { ...block.levels, hem: levelMm } },
    }));
  },
};

export const REDRAW_SEAM: Operation = {
  name: 'redraw seam',
  version: 1,
  summary:
    'Redraws a seam: straight, or as one fair curve where a lean is given, and straight on from there.',
  sentence:
    'Redraw the {seam} from {from} to {to}[ in place of the part above {until}][, leaving at {leaving} from the vertical][, then straight to {then}]',
  scope: 'piece',
  arguments: {
    seam: { kind: 'seam', oneOf: ['rise', 'inseam'], says: 'the seam' },
    from: { kind: 'point', says: 'its new start' },
    to: { kind: 'point', says: 'where the stroke ends' },
    until: {
      kind: 'length',
      optional: true,
      says: 'the level down to which the old seam is replaced; to its end where left out',
    },
    leaving: {
      kind: 'angle',
      optional: true,
      says: 'how far the curve leans from the vertical towards the crease as it leaves; straight where left out',
    },
    then: { kind: 'point', optional: true, says: 'where the seam runs straight from there, to its end' },
  },
  results: {},
  run: ({ block, role, args, tolerances }) => {
    const fixed =
      args.word('seam') === 'inseam' ? (refusedOnHem(block) ?? refusedOnInseam(block)) : undefined;
    if (fixed !== undefined) return fixed;
    const to = args.point('to');
    const then = args.has('then') ? args.point('then') : undefined;
    const untilMm = args.numberOr('until', undefined);
    const strokes = [
      {
        to,
        ...(untilMm === undefined ? {} : { untilLevelMm: untilMm }),
        ...tangentsOf(args.numberOr('leaving', undefined), args.point('from'), to, then),
      },
      ...(then === undefined ? [] : [{ to: then }]),
    ];
    const seam = args.word('seam') as RunSeam;
    const redrawn = redrawSeam(pieceOf(block, role), seam, args.point('from'), strokes, tolerances.lengthMm);
    return withPiece(block, role, redrawn);
  },
};

// A curve runs into the straight part that follows it; without one it ends the way it would have gone straight.
function tangentsOf(
  leavingRad: number | undefined,
  from: Point,
  to: Point,
  then: Point | undefined,
): { tangents?: { readonly leaving: Point; readonly arriving: Point } } {
  if (leavingRad === undefined) return {};
  const leaving = { x: -Math.sin(leavingRad), y: -Math.cos(leavingRad) };
  return { tangents: { leaving, arriving: then === undefined ? direction(from, to) : direction(to, then) } };
}

export const MOVE_SEAM_END: Operation = {
  name: 'move seam end',
  version: 1,
  summary:
    'Moves one end of a seam to a point; the seam follows fairly, its other end and its directions kept.',
  sentence: 'Move the {end} of the {seam} to {to}',
  scope: 'piece',
  arguments: {
    seam: { kind: 'seam', oneOf: LEG_AND_HEM_SEAMS, says: 'the seam' },
    end: { kind: 'choice', oneOf: ['start', 'end'], says: 'which end, in outline order' },
    to: { kind: 'point', says: 'where to' },
  },
  results: {},
  run: ({ block, role, args }) => {
    const piece = pieceOf(block, role);
    const seam = args.word('seam') as RunSeam;
    const fixed = seam === 'hem' ? refusedOnHem(block) : undefined;
    if (fixed !== undefined) return fixed;
    const end = args.word('end') as 'start' | 'end';
    const to = args.point('to');
    if (seam === 'hem' && end === 'start') return withPiece(block, role, moveHemPointTo(piece, to));
    const run = edgesOf(piece, seam);
    const was = end === 'start' ? startOfRun(run) : endOfRun(run);
    const by = { x: to.x - was.x, y: to.y - was.y };
    return withPiece(block, role, done(withSeam(piece, seam, carrySeamEnd(run, end, by))));
  },
};

export const STRAIGHTEN_OUTSEAM: Operation = {
  name: 'straighten outseam',
  version: 1,
  summary: 'Draws the outseam straight from the hem to a level and fairly from there to another.',
  sentence: 'Straighten the outseam from the hem to {to} and run it fairly into {fairTo}',
  scope: 'piece',
  arguments: {
    to: { kind: 'length', says: 'the level up to which it is straight' },
    fairTo: { kind: 'length', says: 'the level where it joins the seam as it was' },
  },
  results: {},
  run: ({ block, role, args, tolerances }) => {
    const fixed = refusedOnHem(block);
    if (fixed !== undefined) return fixed;
    const piece = pieceOf(block, role);
    return withPiece(
      block,
      role,
      straightenSeam(piece, args.number('to'), args.number('fairTo'), tolerances.lengthMm),
    );
  },
};

export const COPY_SEAM: Operation = {
  name: 'copy seam',
  version: 1,
  summary: 'Copies a seam of the front onto the back as it stands; the two are then identical.',
  sentence: 'Copy the front {seam} onto the back',
  scope: 'pair',
  arguments: { seam: { kind: 'seam', oneOf: LEG_SEAMS, says: 'the seam' } },
  results: {},
  run: ({ block, args, tolerances }) => {
    const seam = args.word('seam') as LegSeamName;
    const copied = copyEdge(block.front, block.back, seam, tolerances.lengthMm);
    // Two equal inseams need no stretch, whatever an alteration before this one meant.
    const stretch = seam === 'inseam' ? { stretchMm: 0 } : {};
    return renamed(copied, (back) => ({ block: { ...block, back }, ...stretch }));
  },
};

export const MATCH_SEAM: Operation = {
  name: 'match seam',
  version: 1,
  summary: "Makes a seam of the back as long as the front's.",
  sentence: "Make the back {seam} as long as the front's, {way}",
  scope: 'pair',
  arguments: {
    seam: { kind: 'seam', oneOf: LEG_SEAMS, says: 'the seam' },
    way: {
      kind: 'choice',
      oneOf: ['by-the-side-waist', 'by-fullness', 'by-stretch-or-fullness'],
      says: 'how: the outseam by sliding the back side waist along it; the inseam by up to 5 mm of stretch and, beyond that, the fullness of both thigh curves, or of the back curve alone where the front is to stay',
    },
  },
  results: { stretch: 'length' },
  run: (job) => (job.args.word('seam') === 'outseam' ? matchedOutseam(job) : matchedInseam(job)),
};

function matchedOutseam({ block, tolerances }: OperationJob): Outcome<Operated> {
  const matched = matchOutseam(block, block.levels.hip, tolerances.lengthMm);
  return renamed(matched, ({ front, back }) => ({
    block: { ...block, front, back },
    results: { stretch: 0 },
  }));
}

function matchedInseam({ block, args, tolerances }: OperationJob): Outcome<Operated> {
  if (args.word('way') === 'by-fullness') {
    return renamed(matchInseams(block, tolerances.lengthMm), ({ front, back, stretchMm, findings }) => ({
      block: { ...block, front, back },
      results: { stretch: stretchMm },
      findings,
      stretchMm,
    }));
  }
  const kept = keepBackInseam(block.front, block.back, tolerances.lengthMm);
  return renamed(kept, ({ back, stretchMm, findings }) => ({
    block: { ...block, back },
    results: { stretch: stretchMm },
    findings,
    stretchMm,
  }));
}

export const SHIFT_SEAM: Operation = {
  name: 'shift seam',
  version: 1,
  summary: 'Lets a leg seam out or takes it in between levels, fairly where it begins and straight below.',
  sentence:
    'Let the {seam} out by {by} at {at}, from nothing at {top}[, and by {hemBy} at the hem][, back to nothing at {bottom}]',
  scope: 'piece',
  arguments: {
    seam: { kind: 'seam', oneOf: LEG_SEAMS, says: 'the seam' },
    by: { kind: 'length', says: 'how far outwards, negative inwards' },
    at: { kind: 'length', says: 'the level where it has gone that far' },
    top: { kind: 'length', says: 'the level above which nothing moves' },
    hemBy: { kind: 'length', optional: true, says: 'how far at the hem; straight between the two' },
    bottom: {
      kind: 'length',
      optional: true,
      says: 'the level below which nothing moves again, where no amount at the hem is given',
    },
  },
  results: {},
  run: ({ block, role, args, tolerances }) => {
    // A seam let out between two levels keeps its hem.
    const hem = args.has('bottom') && !args.has('hemBy') ? undefined : refusedOnHem(block);
    const fixed = hem ?? (args.word('seam') === 'inseam' ? refusedOnInseam(block) : undefined);
    if (fixed !== undefined) return fixed;
    const shift = {
      byMm: args.number('by'),
      atMm: args.number('at'),
      topMm: args.number('top'),
      hemMm: block.levels.hem,
      hemByMm: args.numberOr('hemBy', undefined),
      bottomMm: args.numberOr('bottom', undefined),
    };
    const seam = args.word('seam') as LegSeamName;
    return withPiece(block, role, shiftSeam(pieceOf(block, role), seam, shift, tolerances.lengthMm));
  },
};
