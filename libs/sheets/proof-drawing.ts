import { flattenRing, line, ringContains, type Curve, type Point } from '#geometry';
import { outlineOf, pieceOf, type Levels, type Piece, type PieceRole } from '#pattern';
import { boxOfText, boundsOfBox, grownBox } from './box.js';
import { textInBox } from './label-places.js';
import { mmText } from './number-words.js';
import type { Page } from './page.js';
import { PENS, TEXT } from './pens.js';
import {
  chordAtLevel,
  creaseOf,
  dartCurves,
  grainOf,
  linesOf,
  notchCurves,
  seamCurves,
} from './piece-lines.js';
import type { DrawnPieces, ProofContent } from './proof-content.js';
import { onPage, type SheetPlan } from './sheet-plan.js';
import { grainMarks } from './signs.js';

/** Layers of the proof sheet in drawing order. */
export const PROOF_LAYERS = [
  'before',
  'balance-lines',
  'grain',
  'stitch-lines',
  'darts',
  'seam-lines',
  'notches',
  'moved',
  'corners',
  'labels',
  'findings',
  'legend',
  'tables',
  'notes',
] as const;

export type ProofLayer = (typeof PROOF_LAYERS)[number];
export type ProofPage = Page<ProofLayer>;

export const PIECE_ROLES: readonly PieceRole[] = ['front', 'back'];

/** Finer than what is kept clear of a seam. */
const OUTLINE_MM = 0.5;

/** Whether a point of the page lies outside front and back. */
export function outsidePieces(plan: SheetPlan, after: DrawnPieces): (point: Point) => boolean {
  const outlines = PIECE_ROLES.map((role) =>
    flattenRing(onPage(plan, role, outlineOf(pieceOf(after, role))), OUTLINE_MM),
  );
  return (point) => outlines.every((ring) => !ringContains(ring, point));
}

/** Depth of a notch on the sheet, mm of paper. */
const NOTCH_DEPTH_MM = 2;

/** Everything of the two pieces that is a line. */
export function drawPieces(page: ProofPage, plan: SheetPlan, content: ProofContent): void {
  for (const role of PIECE_ROLES) {
    const toPage = (curves: readonly Curve[]): Curve[] => onPage(plan, role, curves);
    const piece = pieceOf(content.after, role);
    if (content.before !== undefined) {
      page.drawLine('before', toPage(outlineOf(pieceOf(content.before, role))), PENS.before, 'fine');
    }
    page.drawLine('seam-lines', toPage(seamCurves(piece)), PENS.seam, 'bold');
    page.drawLine('darts', toPage(dartCurves(piece)), PENS.dart, 'bold');
    page.drawLine('stitch-lines', toPage(linesOf(piece, ['fly', 'stitch', 'internal'])), PENS.stitch, 'fine');
    const notches = piece.notches.flatMap((notch) => notchCurves(piece, notch, NOTCH_DEPTH_MM * plan.scale));
    page.drawLine('notches', toPage(notches), PENS.notch, 'bold');
    drawCreaseAndGrain(page, plan, piece);
  }
}

function drawCreaseAndGrain(page: ProofPage, plan: SheetPlan, piece: Piece): void {
  const grain = grainOf(piece)?.map((p) => plan.toPage(piece.role, p));
  if (grain !== undefined) {
    page.draw('grain', grainMarks(grain[0], grain[1]));
    page.room.addLine(grain[0], grain[1], 'bold');
  }
  const crease = creaseOf(piece)?.map((p) => plan.toPage(piece.role, p));
  if (crease === undefined) return;
  const [low, high] = crease;
  // Where the grain arrow lies on the crease, one line is enough.
  const shared =
    grain !== undefined && Math.abs(grain[0].x - low.x) < 0.5 && Math.abs(grain[1].x - low.x) < 0.5;
  const parts =
    shared && grain !== undefined ? [line(low, grain[0]), line(grain[1], high)] : [line(low, high)];
  page.drawLine('balance-lines', parts, PENS.balance, 'bold');
}

const LEVEL_NAMES: Readonly<Record<keyof Levels, string>> = {
  hip: 'hip',
  crotch: 'fork',
  knee: 'knee',
  hem: 'hem',
};

/** Levels nearer than this to the new one are not drawn twice. */
const SAME_LEVEL_MM = 0.5;

/** Each level runs through both pieces, with its height above the floor in the middle of the page. */
export function drawLevels(page: ProofPage, plan: SheetPlan, content: ProofContent): void {
  const { after, before } = content;
  for (const key of ['hip', 'crotch', 'knee', 'hem'] as const) {
    const text = `${LEVEL_NAMES[key]} ${mmText(after.levels[key])}`;
    drawLevel(page, plan, [after.front, after.back], after.levels[key], text, 'after');
    if (before === undefined || Math.abs(before.levels[key] - after.levels[key]) < SAME_LEVEL_MM) continue;
    const old = `${LEVEL_NAMES[key]} was ${mmText(before.levels[key])}`;
    drawLevel(page, plan, [before.front, before.back], before.levels[key], old, 'before');
  }
}

function drawLevel(
  page: ProofPage,
  plan: SheetPlan,
  [front, back]: readonly [Piece, Piece],
  levelMm: number,
  text: string,
  time: 'before' | 'after',
): void {
  const outer = [front, back].map((piece) => chordAtLevel(piece, levelMm));
  if (outer[0] === undefined || outer[1] === undefined) return;
  const y = plan.levelY(levelMm);
  const left = plan.toPage('front', outer[0][0]).x;
  const right = plan.toPage('back', outer[1][0]).x;
  const style = time === 'after' ? TEXT.label : TEXT.small;
  const mark = textInBox(text, style, { x: plan.middleX, y }, page.widths);
  const label = boundsOfBox(grownBox(boxOfText(mark), 0.8));
  const isFree = page.room.isFree(grownBox(boxOfText(mark), 0.3), 'bold-and-text');
  const lines = isFree
    ? [line({ x: left, y }, { x: label.left, y }), line({ x: label.right, y }, { x: right, y })]
    : [line({ x: left, y }, { x: right, y })];
  page.drawLine(
    'balance-lines',
    lines,
    time === 'after' ? PENS.balance : PENS.balanceBefore,
    time === 'after' ? 'bold' : 'fine',
  );
  if (isFree) page.drawText('labels', mark);
}
