import type { ForeignPiece } from '#interchange';
import { ASTM, type Found, type PieceKind } from './check-report.js';

/** What is written on a piece: its name, and how many times it is cut. */
export function checkTexts(piece: ForeignPiece, kind: PieceKind): Found[] {
  const place = { piece: piece.block, line: piece.line };
  const faults: Found[] = [];
  if ((piece.texts['Piece Name'] ?? '') === '')
    faults.push({
      code: 'PIECE_NAME_MISSING',
      level: 'warning',
      message: `The piece in block ${piece.block} has no text "Piece Name:".`,
      action: 'Name the piece.',
      place,
      basis: ASTM,
    });
  const { quantity } = piece;
  if (quantity === undefined || quantity.asDrawn + quantity.mirrored === 0)
    faults.push({
      code: 'QUANTITY_MISSING',
      level: 'warning',
      message:
        piece.texts['Quantity'] === undefined
          ? `Nothing says how many times ${piece.name} is cut.`
          : `The quantity of ${piece.name} is "${piece.texts['Quantity'].slice(0, 20)}", which does not say how many right and left.`,
      action: 'Write the quantity as right,left: "Quantity:1,1" for a pair.',
      place,
      basis: ASTM,
    });
  else if (
    (kind === 'front' || kind === 'back') &&
    quantity.asDrawn !== quantity.mirrored &&
    !isOneSide(piece)
  )
    faults.push({
      code: 'PAIR_NOT_MIRRORED',
      level: 'stop',
      message: `${piece.name} is cut ${quantity.asDrawn} times as drawn and ${quantity.mirrored} times mirrored: that makes no pair of legs.`,
      action: 'Write "Quantity:1,1", or draw left and right and name them so.',
      place,
      numbers: { asDrawn: quantity.asDrawn, mirrored: quantity.mirrored },
      basis: ASTM,
    });
  return faults;
}

/** A piece that is named as the left or the right one is cut once. */
export function isOneSide({ name, block }: ForeignPiece): boolean {
  return /(^|[^a-z])(left|right|l|r|lh|rh)([^a-z]|$)/i.test(`${name} ${block}`);
}
