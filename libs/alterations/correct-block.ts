import { along, opposite, startDirection } from '#geometry';
import { cornersOf, edgesOf, type Block, type Finding, type Moved, type Piece } from '#pattern';
import { blendCentre, squareToRise } from './blend.js';
import { carrySeamEnd } from './carry-seam-end.js';
import type { AlterationResult, AlterationTolerances } from './alteration-result.js';
import { closedUp, settleIds, withoutShortEdges } from './edge-identity.js';
import { endBalanceLines } from './end-balance-lines.js';
import { done, inOrder, mm, onBoth, renamed, type Outcome, type PiecePair } from './outcome.js';
import { reNotch } from './re-notch.js';
import { resizeWaist } from './resize-girth.js';
import { runLengthMm } from './run.js';
import { edgesOfWaist, waistLineOf } from './waist-line.js';

/** What a fitting taught about one body, as one step on every block of it. */
export interface BlockCorrection {
  readonly use: 'waist' | 'centre-back';
  /** Waist: of the whole girth, as sewn. Centre back: along the back rise, up when positive. */
  readonly byMm: number;
}

/**
 * Put what a fitting taught into a block, before any style.
 *
 * Shape     `waist` lets darts and side seams out or in until the girth has changed by so much. `centre-back` carries
 *           the back rise on past the waist, or shortens it, and leads the waist to its new end, square; the waist
 *           keeps its girth. Outseams stay equal, corners at side and centre stay as they are, notches and balance
 *           lines are set again. A band that came with the block changes with the waist.
 * Units     mm.
 * Accuracy  the waist within 1e-5 mm of its target.
 * Errors    none thrown for a block that passed `checkBlock`; refusals are stop findings, the block as it was.
 * Source    common practice, no source.
 */
export function correctBlock(
  block: Block,
  correction: BlockCorrection,
  pointer: string,
  tolerances: AlterationTolerances,
): AlterationResult {
  const outcome = corrected(block, correction, tolerances);
  if (outcome.state === 'refused') {
    const finding = { ...outcome.finding, pointer };
    return { block, moved: [], findings: [finding], refused: true };
  }
  return {
    block: outcome.value,
    moved: [record(block, outcome.value, correction), ...outcome.moved],
    findings: [said(correction, pointer)],
    refused: false,
  };
}

function corrected(
  block: Block,
  { use, byMm }: BlockCorrection,
  { lengthMm }: AlterationTolerances,
): Outcome<Block> {
  const start: PiecePair = { front: block.front, back: block.back };
  const wasMm = waistOf(start);
  const raised = use === 'waist' ? start : { ...start, back: withCentre(block.back, byMm) };
  const targetMm = use === 'waist' ? wasMm + byMm / 2 : wasMm;
  const drawn = inOrder(raised, [
    (pair) => renamed(resizeWaist(pair, targetMm, block.levels.hip), ({ front, back }) => ({ front, back })),
    (pair) => onBoth(pair, (piece) => done(whole(block[piece.role], piece))),
    (pair) => onBoth(pair, (piece) => endBalanceLines(block[piece.role], piece, block.levels)),
  ]);
  if (drawn.state === 'refused') return drawn;
  const notched = reNotch(block, { ...drawn.value, levels: block.levels }, lengthMm);
  if (notched.state === 'refused') return notched;
  const { front, back } = notched.value;
  const band =
    use === 'waist' && block.waistbandMm !== undefined ? { waistbandMm: block.waistbandMm + byMm } : {};
  return done({ ...block, front, back, ...band }, [...drawn.moved, ...notched.moved]);
}

/** Half the garment's waist: front and back. */
function waistOf({ front, back }: PiecePair): number {
  return runLengthMm(edgesOf(front, 'waist')) + runLengthMm(edgesOf(back, 'waist'));
}

function withCentre(piece: Piece, byMm: number): Piece {
  const rise = edgesOf(piece, 'rise');
  const up = opposite(startDirection(rise[0].curve));
  const old = cornersOf(piece).centreWaist;
  const centre = along(old, up, byMm);
  const by = { x: up.x * byMm, y: up.y * byMm };
  const waist = waistLineOf(piece);
  const last = waist.runs.length - 1;
  // Upwards the waist has to bend one way only; downwards it follows, and its corner stays square either way.
  const below = along(centre, up, -1);
  const run =
    byMm > 0
      ? blendCentre(waist.runs[last], centre, squareToRise(centre, below))
      : carrySeamEnd(waist.runs[last], 'end', by);
  const edges = [
    ...carrySeamEnd(rise, 'start', by),
    ...piece.edges.filter(({ role }) => role !== 'rise' && role !== 'waist' && role !== 'dart'),
    ...edgesOfWaist({ ...waist, runs: waist.runs.with(last, run) }),
  ];
  return { ...piece, edges };
}

function whole(before: Piece, piece: Piece): Piece {
  return settleIds(before, closedUp(withoutShortEdges(piece)));
}

function record(before: Block, after: Block, { use, byMm }: BlockCorrection): Moved {
  if (use === 'waist') {
    const beforeMm = 2 * waistOf(before);
    return { operation: 'fitting correction', part: 'waist', byMm, beforeMm, afterMm: 2 * waistOf(after) };
  }
  return {
    operation: 'fitting correction',
    piece: 'back',
    part: 'centre waist',
    byMm: Math.abs(byMm),
    from: cornersOf(before.back).centreWaist,
    to: cornersOf(after.back).centreWaist,
  };
}

function said({ use, byMm }: BlockCorrection, pointer: string): Finding {
  const amount = mm(Math.abs(byMm));
  const message =
    use === 'waist'
      ? `After a fitting the waist was made ${amount} ${byMm > 0 ? 'wider' : 'narrower'}.`
      : `After a fitting centre back was ${byMm > 0 ? 'raised' : 'lowered'} by ${amount}.`;
  return {
    code: 'CORRECTED',
    level: 'info',
    message,
    action: 'Nothing to do; take it out of the corrections of the body once its measures say the same.',
    place: { part: use === 'waist' ? 'waist' : 'rise' },
    pointer,
    numbers: { byMm },
  };
}
