import { edgesOf, pieceOf, type AddedPiece, type Finding, type Notch, type Piece } from '#pattern';
import { closeUp } from '../close-up.js';
import { polygonOf } from '../inside-outline.js';
import { layFly } from '../lay-fly.js';
import type { Operation } from '../operation.js';
import { done, mm, onBoth, refused, renamed, type Outcome } from '../outcome.js';
import { runLengthMm, stationAtLength } from '../run.js';
import { turnUpHem } from '../turn-up-hem.js';
import { refusedOnHem } from '../finished-parts.js';
import { LEG_AND_HEM_SEAMS, type RunSeam } from './argument-words.js';
import { quadratureLength, splitCurve } from '#geometry';

export const TURN_UP_HEM: Operation = {
  name: 'turn up hem',
  version: 1,
  summary: 'Draws a turn-up on: the bottom of the leg mirrored at the hem and back again.',
  sentence: 'Turn up the hem by {depth}',
  scope: 'pair',
  arguments: { depth: { kind: 'length', says: 'finished height of the turn-up' } },
  results: {},
  run: ({ block, args, tolerances }) => {
    const fixed = refusedOnHem(block);
    if (fixed !== undefined) return fixed;
    const depthMm = args.number('depth');
    const turned = onBoth(block, (piece) => turnUpHem(piece, block.levels.hem, depthMm, tolerances.lengthMm));
    return renamed(turned, ({ front, back }) => ({ block: { ...block, front, back } }));
  },
};

/** A side shorter than this cannot be sewn round; a design choice. */
const ADDED_MM_MIN = 5;

export const ADD_PIECE: Operation = {
  name: 'add piece',
  version: 1,
  summary:
    'Adds a piece of its own, sewn to front and back: a strip, one that is folded along its middle, or a diamond.',
  sentence: 'Add {count} × {name}, a {shape} {length} by {width}, sewn to the {sewnTo}',
  scope: 'pair',
  arguments: {
    name: { kind: 'text', says: 'what it is called on the sheets' },
    shape: {
      kind: 'choice',
      oneOf: ['strip', 'folded-strip', 'diamond'],
      says: 'its shape; a diamond has four equal sides',
    },
    length: { kind: 'length', says: 'length of the strip, side of the diamond' },
    width: { kind: 'length', says: 'width of the strip as cut, the way across the diamond' },
    sewnTo: { kind: 'choice', oneOf: ['waist', 'hem', 'fork'], says: 'what it is sewn to' },
    count: { kind: 'ratio', says: 'how many the garment needs' },
  },
  results: {},
  run: ({ block, args }) => {
    const piece: AddedPiece = {
      name: args.word('name'),
      shape: args.word('shape') as AddedPiece['shape'],
      lengthMm: args.number('length'),
      widthMm: args.number('width'),
      sewnTo: args.word('sewnTo') as AddedPiece['sewnTo'],
      count: Math.max(1, Math.round(args.number('count'))),
    };
    const twice = block.added?.some(({ sewnTo }) => sewnTo === piece.sewnTo) === true;
    if (twice) return takenAlready(piece);
    const flat = piece.shape === 'diamond' && piece.widthMm >= 2 * piece.lengthMm - ADDED_MM_MIN;
    if (piece.lengthMm < ADDED_MM_MIN || piece.widthMm < ADDED_MM_MIN || flat) return noPiece(piece);
    const record = { operation: 'add piece', part: piece.name, byMm: piece.lengthMm };
    // A casing takes the place of the band.
    const { waistbandMm: _, ...without } = block;
    const kept = piece.sewnTo === 'waist' ? without : block;
    return done({ block: { ...kept, added: [...(block.added ?? []), piece] } }, [
      { ...record, beforeMm: 0, afterMm: piece.lengthMm },
    ]);
  },
};

function takenAlready({ name, sewnTo }: AddedPiece): ReturnType<typeof refused> {
  return refused({
    code: 'PIECE_ALREADY_ADDED',
    message: `There is a piece sewn to the ${sewnTo} already; ${name} cannot be sewn there too.`,
    action: 'Take one of the two alterations out.',
    place: { part: sewnTo },
  });
}

function noPiece({ name, lengthMm, widthMm }: AddedPiece): ReturnType<typeof refused> {
  return refused({
    code: 'PIECE_HAS_NO_ROOM',
    message: `${name} would be ${mm(lengthMm)} by ${mm(widthMm)}, which cannot be sewn.`,
    action: 'Make it larger; a diamond is narrower across than twice its side.',
    numbers: { lengthMm, widthMm },
  });
}

export const SET_NOTCH: Operation = {
  name: 'set notch',
  version: 1,
  summary: 'Sets a notch on a seam at a distance from one of its ends.',
  sentence: 'Set the notch {name} on the {seam}, {by} from its {end}',
  scope: 'piece',
  arguments: {
    seam: { kind: 'seam', oneOf: LEG_AND_HEM_SEAMS, says: 'the seam' },
    end: { kind: 'choice', oneOf: ['start', 'end'], says: 'the end it is counted from, in outline order' },
    by: { kind: 'length', says: 'the distance along the seam' },
    name: { kind: 'text', says: 'what it marks' },
  },
  results: {},
  run: ({ block, role, args }): Outcome<{ block: typeof block }> => {
    const piece = pieceOf(block, role);
    const run = edgesOf(piece, args.word('seam') as RunSeam);
    const wholeMm = runLengthMm(run);
    const byMm = args.number('by');
    if (byMm < 0 || byMm > wholeMm) return notchPastSeam(piece, args.word('seam'), byMm, wholeMm);
    const fromStartMm = args.word('end') === 'start' ? byMm : wholeMm - byMm;
    const { index, t } = stationAtLength(run, fromStartMm, NOTCH_TOLERANCE_MM);
    const notch: Notch = {
      edgeId: run[index].id,
      fromStartMm: quadratureLength(splitCurve(run[index].curve, t)[0]),
      kind: 'slit',
      name: args.word('name'),
    };
    const notched: Piece = { ...piece, notches: [...piece.notches, notch] };
    return done({ block: { ...block, [role]: notched } });
  },
};

const NOTCH_TOLERANCE_MM = 1e-4;

function notchPastSeam(
  piece: Piece,
  seam: string,
  byMm: number,
  wholeMm: number,
): ReturnType<typeof refused> {
  return refused({
    code: 'NOTCH_PAST_SEAM',
    message: `A notch ${mm(byMm)} along the ${piece.role} ${seam} would lie beyond it; it is ${mm(wholeMm)} long.`,
    action: 'Set the notch within its seam.',
    place: { piece: piece.role, part: seam },
    numbers: { byMm, wholeMm },
  });
}

export const LAY_FLY: Operation = {
  name: 'lay fly',
  version: 1,
  summary:
    'Lays the fly line along the front rise, grown by so much; or takes it away for a waist that is pulled on.',
  sentence: 'Lay the fly along the front rise, grown by {grow}',
  scope: 'pair',
  arguments: {
    grow: { kind: 'ratio', says: 'how many times as long as the block has it; 0 for no fly at all' },
  },
  results: {},
  run: ({ before, block, args }) => {
    const grow = args.number('grow');
    if (grow <= 0) {
      const lines = block.front.lines.filter(({ role }) => role !== 'fly');
      return done({ block: { ...block, front: { ...block.front, lines }, pullOn: true as const } });
    }
    const { front, levels } = block;
    const laid = layFly(before.front, front, grow, levels.crotch, polygonOf(front));
    return renamed(laid, ({ front: laidFront, findings }) => ({
      block: { ...block, front: laidFront },
      findings,
    }));
  },
};

export const CLOSE_UP: Operation = {
  name: 'close up',
  version: 1,
  summary: 'Closes both outlines, ends the balance lines at the seams and sets the notches again.',
  sentence:
    'Close the outlines, end the balance lines at the seams and set the notches again[; the crotch level is now {crotch}]',
  scope: 'pair',
  arguments: {
    crotch: { kind: 'length', optional: true, says: 'the new crotch level; as it was where left out' },
  },
  results: {},
  run: ({ before, block, args, tolerances }) => {
    const levels = { ...block.levels, crotch: args.numberOr('crotch', block.levels.crotch) };
    return renamed(closeUp(before, block, levels, tolerances), ({ front, back, dropped }) => ({
      block: { ...block, front, back, levels },
      findings: droppedNotches(dropped.length),
    }));
  },
};

function droppedNotches(count: number): Finding[] {
  if (count === 0) return [];
  return [
    {
      code: 'NOTCH_DROPPED',
      level: 'warning',
      message: `${count} notches of the block have no place on the new seams and were left out.`,
      action: 'Set them by hand where they are needed.',
      numbers: { count },
    },
  ];
}
