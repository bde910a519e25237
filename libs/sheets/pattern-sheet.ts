import { line, type Curve } from '#geometry';
import { pieceOf, type Piece, type PieceRole } from '#pattern';
import { rectangle, strokeMark, textMark, type Sheet } from './display-list.js';
import { factLines } from './fact-lines.js';
import { textInBox } from './label-places.js';
import { drawLabelNear } from './near-label.js';
import { Page } from './page.js';
import { TRUE_SIZE_PENS as PENS } from './pens.js';
import {
  chordAtLevel,
  creaseOf,
  dartCurves,
  grainOf,
  linesOf,
  notchCurves,
  seamCurves,
} from './piece-lines.js';
import type { DrawnPieces, ProofFacts, Provenance } from './proof-content.js';
import { extentOf, onPage, planPieces, type SheetPlan } from './sheet-plan.js';
import { grainMarks } from './signs.js';
import { wrapText, type TextStyle, type TextWidths } from './text-widths.js';

export interface PatternContent {
  readonly facts: ProofFacts;
  readonly pieces: DrawnPieces;
  readonly provenance: Provenance;
}

const PIECE_LAYERS = [
  'seam-line',
  'darts',
  'balance-lines',
  'grain',
  'stitch-lines',
  'notches',
  'labels',
] as const;
type PatternLayer = `${PieceRole}-${(typeof PIECE_LAYERS)[number]}` | 'test-square' | 'notes';

const LAYERS: readonly PatternLayer[] = [
  ...PIECE_LAYERS.map((layer) => `front-${layer}` as const),
  ...PIECE_LAYERS.map((layer) => `back-${layer}` as const),
  'test-square',
  'notes',
];

const MARGIN_MM = 20;
const MIDDLE_MM = 40;
/** Strip under the pieces for the test square and the notes. */
const STRIP_MM = 125;
export const TEST_SQUARE_MM = 100;
/** The strip's notes need this much beside the square, however narrow the pieces are. */
const NOTES_MM_MIN = 220;
/** Common practice, no source: 3 to 4 mm deep. */
const NOTCH_DEPTH_MM = 4;

/** Seen from standing at the cutting table. */
const GRAIN_HEAD_MM = 9;

const TEXT = {
  piece: { sizeMm: 14, weight: 'semibold' },
  label: { sizeMm: 5.5, weight: 'regular' },
  line: { sizeMm: 4, weight: 'regular' },
  reference: { sizeMm: 10, weight: 'semibold' },
} as const satisfies Record<string, TextStyle>;

type PatternPage = Page<PatternLayer>;

/**
 * Front and back at true size: one millimetre of the sheet is one millimetre of the garment.
 *
 * Shape   the page is as large as the pieces ask. The front as it is, the back mirrored beside it; seam line without
 *         allowance. Each piece has its own layers: "front-seam-line", "front-notches" and so on.
 * Errors  GeometryError LENGTH_OUT_OF_RANGE for a notch past its edge's end.
 */
export function patternSheet(content: PatternContent, widths: TextWidths): Sheet {
  const extent = extentOf([content.pieces]);
  const innerMm = Math.max(extent.widthMm + MIDDLE_MM, TEST_SQUARE_MM + NOTES_MM_MIN);
  const size = {
    widthMm: Math.ceil(innerMm + 2 * MARGIN_MM),
    heightMm: Math.ceil(extent.heightMm + STRIP_MM + 2 * MARGIN_MM),
  };
  const plan = planPieces(extent, 1, MARGIN_MM, MARGIN_MM + STRIP_MM, MIDDLE_MM);
  const bounds = { left: 0, bottom: 0, right: size.widthMm, top: size.heightMm };
  const page: PatternPage = new Page(bounds, LAYERS, widths);
  for (const role of ['front', 'back'] as const) drawPiece(page, plan, content, role);
  drawStrip(page, content, size.widthMm);
  return { ...size, title: `Pattern ${content.facts.reference}`, layers: page.layers() };
}

function drawPiece(page: PatternPage, plan: SheetPlan, content: PatternContent, role: PieceRole): void {
  const piece = pieceOf(content.pieces, role);
  const toPage = (curves: readonly Curve[]): Curve[] => onPage(plan, role, curves);
  const notches = piece.notches.flatMap((notch) => notchCurves(piece, notch, NOTCH_DEPTH_MM));
  const stitches = linesOf(piece, ['fly', 'stitch', 'internal']);
  page.drawLine(`${role}-seam-line`, toPage(seamCurves(piece)), PENS.seam, 'bold');
  page.drawLine(`${role}-darts`, toPage(dartCurves(piece)), PENS.dart, 'bold');
  page.drawLine(`${role}-stitch-lines`, toPage(stitches), PENS.stitch, 'bold');
  page.drawLine(`${role}-notches`, toPage(notches), PENS.notch, 'bold');
  const crease = creaseOf(piece);
  if (crease !== undefined)
    page.drawLine(`${role}-balance-lines`, toPage([line(...crease)]), PENS.balance, 'bold');
  const grain = grainOf(piece)?.map((p) => plan.toPage(role, p));
  if (grain !== undefined) page.draw(`${role}-grain`, grainMarks(grain[0], grain[1], GRAIN_HEAD_MM));
  drawLevels(page, plan, piece, content.pieces);
  labelPiece(page, plan, piece, content);
}

function drawLevels(page: PatternPage, plan: SheetPlan, piece: Piece, { levels }: DrawnPieces): void {
  for (const [key, name] of [
    ['hip', 'hip'],
    ['crotch', 'fork'],
    ['knee', 'knee'],
  ] as const) {
    const chord = chordAtLevel(piece, levels[key]);
    if (chord === undefined) continue;
    page.drawLine(
      `${piece.role}-balance-lines`,
      onPage(plan, piece.role, [line(...chord)]),
      PENS.balance,
      'bold',
    );
    const start = plan.toPage(piece.role, { x: chord[0].x + LINE_LABEL_IN_MM, y: levels[key] });
    drawLabelNear(
      page,
      `${piece.role}-labels`,
      [{ text: `${name} line`, style: TEXT.line }],
      start,
      Math.PI / 2,
    );
  }
}

/** The names of level lines stand this far in from the outseam. */
const LINE_LABEL_IN_MM = 20;

function labelPiece(page: PatternPage, plan: SheetPlan, piece: Piece, content: PatternContent): void {
  const { levels } = content.pieces;
  const reference = wrapText(content.facts.reference, LABEL_MM, TEXT.label, page.widths);
  const rows = [
    { text: piece.role === 'front' ? 'Front' : 'Back', style: TEXT.piece },
    ...['cut 1 pair', ...reference, 'seam line without allowance'].map((text) => ({
      text,
      style: TEXT.label,
    })),
  ];
  const y = (levels.hip + Math.max(levels.crotch, levels.knee)) / 2;
  const outwards = piece.role === 'front' ? Math.PI : 0;
  drawLabelNear(page, `${piece.role}-labels`, rows, plan.toPage(piece.role, { x: 0, y }), outwards);
}

/** Longer references are broken, so that they stay within the narrowest piece. */
const LABEL_MM = 80;
const ROW_PITCH = 1.35;

/** The test square, and beside it what the pattern is. */
function drawStrip(page: PatternPage, content: PatternContent, widthMm: number): void {
  const left = MARGIN_MM;
  const bottom = MARGIN_MM;
  const square = rectangle(left, bottom, left + TEST_SQUARE_MM, bottom + TEST_SQUARE_MM);
  page.draw('test-square', [strokeMark(square, PENS.grain)]);
  const inSquare = ['test square', '100 mm × 100 mm', 'measure before cutting'];
  for (const [i, text] of inSquare.entries()) {
    const centre = { x: left + TEST_SQUARE_MM / 2, y: bottom + TEST_SQUARE_MM / 2 + (1 - i) * 8 };
    page.drawText('test-square', textInBox(text, TEXT.label, centre, page.widths));
  }
  const notesLeft = left + TEST_SQUARE_MM + 15;
  const room = widthMm - MARGIN_MM - notesLeft;
  let top = bottom + TEST_SQUARE_MM;
  for (const [text, style] of noteRows(content, room, page.widths)) {
    top -= style.sizeMm * ROW_PITCH;
    page.drawText(
      'notes',
      textMark(text, style, { at: { x: notesLeft, y: top + style.sizeMm * 0.3 } }, page.widths),
    );
  }
}

function noteRows(
  { facts, provenance }: PatternContent,
  widthMm: number,
  widths: TextWidths,
): (readonly [string, TextStyle])[] {
  const dated = provenance.dated === undefined ? [] : [`dated ${provenance.dated}`];
  const rows = (texts: readonly string[], style: TextStyle): (readonly [string, TextStyle])[] =>
    texts.flatMap((text) => wrapText(text, widthMm, style, widths).map((row) => [row, style] as const));
  const says = ['true size, seam line without seam allowance, lengths in mm', `block ${facts.blockName}`];
  return [
    ...rows([facts.reference], TEXT.reference),
    ...rows(
      factLines([...says, ...facts.alterations], FACT_LINES_MAX, widthMm, TEXT.label, widths),
      TEXT.label,
    ),
    ...rows([[provenance.engine, `request ${provenance.requestHash}`, ...dated].join(' · ')], TEXT.line),
  ];
}

/** With a reference of two lines, this is what stands beside the test square. */
const FACT_LINES_MAX = 7;
