import type { CutPiece } from '#finishing';
import type { Finding } from '#pattern';
import {
  PLEX_WIDTHS,
  tileSheets,
  type ChosenLayer,
  type Sheet,
  type SheetPaper,
  type TilePaper,
} from '#sheets';
import type { DraftOrder, FinishOrder, Provenance } from './draft-order.js';
import { cutContent, finishStage, laidSheets, type FinishStage } from './finish-stage.js';
import { draftResult, rulesFor } from './produce-draft.js';

/** `a4-letter` prints on either: the tiles use only what the two share. */
export type PrintPaper = TilePaper | 'a4-letter' | SheetPaper;

export interface PrintOrder {
  readonly paper: PrintPaper;
  readonly layers: readonly ChosenLayer[];
}

/** The pages, or in a sentence why there are none. */
export type PrintedPattern =
  { readonly sheets: readonly [Sheet, ...Sheet[]] } | { readonly refusal: Pick<Finding, 'code' | 'message'> };

/**
 * The cut pieces of a draft on a paper that is chosen afterwards: the same pieces, drawn the same way, as the draft's
 * own sheet and tiles.
 *
 * Errors  none for an order that came through the door; a throw is a bug of the engine.
 * Cost    as the draft's geometry, and up to 100 ms for tiles.
 */
export function printPattern(
  order: DraftOrder & { readonly finish: FinishOrder },
  provenance: Provenance,
  { paper, layers }: PrintOrder,
): PrintedPattern {
  const cut = cutStage(order);
  if (cut === undefined)
    return { refusal: { code: 'NO_PIECES', message: 'The draft has no pieces; its findings say why.' } };
  const content = { ...cutContent(order, provenance, cut), layers };
  const laid = isTilePaper(paper) ? tiles(content, paper) : laidSheets(content, paper, 'close');
  if ('code' in laid) return { refusal: laid };
  const [first, ...rest] = laid;
  return first === undefined
    ? { refusal: { code: 'NO_PIECES', message: 'The draft has no pieces to print.' } }
    : { sheets: [first, ...rest] };
}

/** The finished pieces of a draft and nothing else; undefined when no block could be made. */
export function cutPiecesOf(
  order: DraftOrder & { readonly finish: FinishOrder },
): readonly CutPiece[] | undefined {
  return cutStage(order)?.pattern.pieces;
}

function cutStage(order: DraftOrder): FinishStage | undefined {
  const { finished } = draftResult(order);
  return finished === undefined ? undefined : finishStage(order, finished, rulesFor(order, finished));
}

const TILES = ['a4', 'letter', 'a3', 'tabloid', 'a4-letter'] as const;

function isTilePaper(paper: PrintPaper): paper is (typeof TILES)[number] {
  return TILES.some((name) => name === paper);
}

function tiles(content: Parameters<typeof tileSheets>[0], paper: (typeof TILES)[number]): readonly Sheet[] {
  return paper === 'a4-letter'
    ? tileSheets(content, 'a4', 'a4-letter', PLEX_WIDTHS)
    : tileSheets(content, paper, 'page', PLEX_WIDTHS);
}
