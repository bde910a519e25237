import type { CutPiece } from '#finishing';
import type { CutContent } from './cut-content.js';
import type { LabelRow } from './near-label.js';

const TEXT = {
  name: { sizeMm: 12, weight: 'semibold' },
  middleName: { sizeMm: 7.5, weight: 'semibold' },
  smallName: { sizeMm: 5.2, weight: 'semibold' },
  row: { sizeMm: 5, weight: 'regular' },
  fine: { sizeMm: 3.4, weight: 'regular' },
} as const;

const CLOTH_WORDS = { shell: 'cloth', fusible: 'fusible', pocketing: 'pocketing' } as const;

/** "cut 2 (1 pair)", "cut 1". */
export function quantityInWords({ quantity: { asDrawn, mirrored } }: CutPiece): string {
  const total = asDrawn + mirrored;
  if (asDrawn !== mirrored) return `cut ${total}`;
  return `cut ${total} (${asDrawn} ${asDrawn === 1 ? 'pair' : 'pairs'})`;
}

function clothInWords({ cloth }: CutPiece, clothName: string | undefined): string {
  return cloth.map((use) => (use === 'shell' ? (clothName ?? 'cloth') : CLOTH_WORDS[use])).join(' and ');
}

/** Pieces narrower than this have a smaller name. */
const WIDE_MM = 210;

/** What stands on a piece of a width, row by row. */
export function labelRows(piece: CutPiece, content: CutContent, widthMm: number): LabelRow[] {
  const { reference, clothName, provenance, shrinkagePercent } = content;
  const shrinkage =
    shrinkagePercent === undefined
      ? []
      : [`grown for shrinkage: warp ${shrinkagePercent.warp} %, weft ${shrinkagePercent.weft} %`];
  const dated = provenance.dated === undefined ? [] : [`dated ${provenance.dated}`];
  const isWide = widthMm >= WIDE_MM;
  const fine = isWide
    ? ['with seam allowance', ...shrinkage, ...dated, provenance.engine]
    : ['with seam allowance'];
  return [
    { text: piece.name, style: isWide ? TEXT.name : TEXT.middleName },
    { text: `${quantityInWords(piece)} · ${clothInWords(piece, clothName)}`, style: TEXT.row },
    { text: reference, style: TEXT.row },
    ...sideRows(piece),
    ...fine.map((text) => ({ text, style: TEXT.fine })),
  ];
}

function sideRows({ sideWords }: CutPiece): LabelRow[] {
  return sideWords === undefined ? [] : [{ text: sideWords, style: TEXT.fine }];
}

/** What stands on a small piece: two rows along it, and which side is up where it matters. */
export function smallLabelRows(piece: CutPiece, { reference, clothName }: CutContent): LabelRow[] {
  return [
    { text: `${piece.name} · ${quantityInWords(piece)}`, style: TEXT.smallName },
    { text: `${clothInWords(piece, clothName)} · ${reference}`, style: TEXT.fine },
    ...sideRows(piece),
  ];
}
