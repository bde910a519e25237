import {
  add,
  direction,
  distance,
  leftOf,
  lerp,
  line,
  opposite,
  ringArea,
  scale,
  type Point,
} from '#geometry';
import {
  curvesOf,
  dartsOf,
  outlineOf,
  pieceOf,
  seamLengthMm,
  type EdgeRole,
  type Moved,
  type Piece,
  type PieceRole,
} from '#pattern';
import { circle, strokeMark } from './display-list.js';
import { chainOf, placeAlong, type Chain } from './label-places.js';
import { drawLabelNear } from './near-label.js';
import { mmText } from './number-words.js';
import { PENS, TEXT } from './pens.js';
import { FOLLOWED_POINTS, followedPoints, linesOf, type FollowedPoint } from './piece-lines.js';
import type { ProofContent } from './proof-content.js';
import { PIECE_ROLES, type ProofPage } from './proof-drawing.js';
import { onPage, type SheetPlan } from './sheet-plan.js';
import { ARROW_MM_MIN, MOVE_RING_MM, moveMarks } from './signs.js';

/** Of lengths on the sheet: a tenth is printed, a hundredth is plenty. */
const LENGTH_TOLERANCE_MM = 0.01;

const SEAMS: readonly EdgeRole[] = ['inseam', 'outseam', 'rise', 'waist', 'hem'];

/** Along each seam its name and its length, and what it was before. */
export function labelSeams(page: ProofPage, plan: SheetPlan, content: ProofContent): void {
  for (const role of PIECE_ROLES) {
    const piece = pieceOf(content.after, role);
    const before = content.before === undefined ? undefined : pieceOf(content.before, role);
    for (const seam of SEAMS) {
      const curves = curvesOf(piece, seam);
      if (curves.length === 0) continue;
      const chain = chainOf(onPage(plan, role, curves));
      const texts = seamTexts(piece, before, seam);
      const mark = placeAlong(page.room, chain, outsideOf(piece, plan), texts, TEXT.label, page.widths);
      if (mark !== undefined) page.drawText('labels', mark);
      else
        drawLabelNear(
          page,
          'labels',
          [{ text: texts[texts.length - 1], style: TEXT.label }],
          middleOf(chain),
          0,
        );
    }
  }
}

function middleOf(chain: Chain): Point {
  return chain.points[Math.floor(chain.points.length / 2)];
}

/** Which side of the outline's travel is outside, on the page: the mirror of the back turns it round. */
function outsideOf(piece: Piece, plan: SheetPlan): 1 | -1 {
  return ringArea(onPage(plan, piece.role, outlineOf(piece))) > 0 ? -1 : 1;
}

function seamTexts(piece: Piece, before: Piece | undefined, role: EdgeRole): string[] {
  const name = role === 'rise' ? `${piece.role} rise` : role;
  const length = mmText(seamLengthMm(piece, role, LENGTH_TOLERANCE_MM));
  const was = before === undefined ? undefined : mmText(seamLengthMm(before, role, LENGTH_TOLERANCE_MM));
  const short = `${name} ${length}`;
  return was === undefined || was === length ? [short] : [`${short} (was ${was})`, short];
}

/** What the outlines of the sheet are, and where the lines to cut along are found. */
const SEAM_LINE_WORDS: Readonly<Record<ProofContent['allowances'], readonly string[]>> = {
  none: ['seam line,', 'no allowance'],
  'in-cut-files': ['seam line; cut', 'by the cut files'],
};

/** Name of the piece and what to cut, in the free middle of its upper half. */
export function labelPieces(page: ProofPage, plan: SheetPlan, content: ProofContent): void {
  const { levels } = content.after;
  const y = (levels.hip + Math.max(levels.crotch, levels.knee)) / 2;
  for (const role of PIECE_ROLES) {
    const rows = [
      { text: role === 'front' ? 'Front' : 'Back', style: TEXT.pieceName },
      ...['cut 1 pair', ...SEAM_LINE_WORDS[content.allowances]].map((text) => ({ text, style: TEXT.small })),
    ];
    drawLabelNear(page, 'labels', rows, plan.toPage(role, { x: 0, y }), role === 'front' ? Math.PI : 0);
  }
}

/** Dart intake and length, and the names of stitch lines. */
export function labelDartsAndFly(page: ProofPage, plan: SheetPlan, content: ProofContent): void {
  for (const role of PIECE_ROLES) {
    const piece = pieceOf(content.after, role);
    for (const dart of dartsOf(piece)) {
      const mouth = [
        dart.sideLeg.curve.p0,
        dart.centreLeg.curve.kind === 'line' ? dart.centreLeg.curve.p1 : dart.centreLeg.curve.p3,
      ];
      const middle = { x: (mouth[0].x + mouth[1].x) / 2, y: (mouth[0].y + mouth[1].y) / 2 };
      const text = `dart ${mmText(distance(mouth[0], mouth[1]))} × ${mmText(distance(middle, dart.apex))}`;
      drawLabelNear(
        page,
        'labels',
        [{ text, style: TEXT.small }],
        plan.toPage(role, dart.apex),
        -Math.PI / 2,
      );
    }
    const fly = onPage(plan, role, linesOf(piece, ['fly']));
    if (fly.length > 0)
      drawLabelNear(
        page,
        'labels',
        [{ text: 'fly', style: TEXT.small }],
        middleOf(chainOf(fly)),
        role === 'front' ? Math.PI : 0,
      );
  }
}

export interface PointMove {
  readonly piece: PieceRole;
  readonly point: FollowedPoint;
  readonly from: Point;
  readonly to: Point;
}

/** A move shorter than this prints as 0.0 and is none. */
const MOVE_MM_MIN = 0.05;

/**
 * How far the main points went in all: between the two drawn outlines where both are known, else from the first
 * to the last place that the steps report.
 */
export function pointMoves(content: ProofContent): PointMove[] {
  return PIECE_ROLES.flatMap((piece) => {
    const after = followedPoints(pieceOf(content.after, piece), content.after.levels);
    const before = content.before;
    const old = before === undefined ? undefined : followedPoints(pieceOf(before, piece), before.levels);
    return FOLLOWED_POINTS.flatMap((point) => {
      const from = old === undefined ? firstPlace(content.moved, piece, point) : old.get(point);
      const to = after.get(point);
      if (from === undefined || to === undefined || distance(from, to) < MOVE_MM_MIN) return [];
      return [{ piece, point, from, to }];
    });
  });
}

function firstPlace(moved: readonly Moved[], piece: PieceRole, point: FollowedPoint): Point | undefined {
  return moved.find((m) => m.piece === piece && m.part === point && m.from !== undefined)?.from;
}

/** A move as it is drawn: on its place, or beside a seam that would hide it. */
export interface DrawnMove extends PointMove {
  readonly start: Point;
  readonly end: Point;
}

/** Arrows of what moved, drawn before any label is placed. */
export function drawMoves(page: ProofPage, plan: SheetPlan, moves: readonly PointMove[]): DrawnMove[] {
  return moves.map((move) => {
    const from = plan.toPage(move.piece, move.from);
    const to = plan.toPage(move.piece, move.to);
    const shift = besideSeam(page, from, to, plan.toPage(move.piece, { x: 0, y: 0 }).x);
    const start = add(from, shift);
    const end = add(to, shift);
    page.draw('moved', moveMarks(start, end));
    if (shift.x !== 0 || shift.y !== 0) {
      page.draw('moved', [strokeMark([line(from, start), line(to, end)], PENS.leader)]);
    }
    page.room.addLine(start, end, 'bold');
    if (distance(start, end) < ARROW_MM_MIN) page.room.addCurves(circle(end, MOVE_RING_MM), 'bold');
    return { ...move, start, end };
  });
}

/** How far an arrow is set off from a seam that it lies on. */
const BESIDE_MM = 2.4;

/** Off the seam on the side away from the crease, which is outside. */
function besideSeam(page: ProofPage, from: Point, to: Point, creaseX: number): Point {
  if (distance(from, to) < ARROW_MM_MIN) return { x: 0, y: 0 };
  const isFreeAt = (shift: Point): boolean =>
    [0.3, 0.5, 0.7].every((t) => {
      const centre = add(lerp(from, to, t), shift);
      return page.room.isFree({ centre, halfWidthMm: 0.4, halfHeightMm: 0.4, angleRad: 0 }, 'bold-and-text');
    });
  const none = { x: 0, y: 0 };
  if (isFreeAt(none)) return none;
  const left = scale(leftOf(direction(from, to)), BESIDE_MM);
  const away = (shift: Point): number => Math.abs(from.x + shift.x - creaseX);
  const sides = away(left) > away(opposite(left)) ? [left, opposite(left)] : [opposite(left), left];
  return sides.find(isFreeAt) ?? none;
}

export function labelMoves(page: ProofPage, moves: readonly DrawnMove[]): void {
  for (const { point, from, to, start, end } of moves) {
    const beside = Math.atan2(end.y - start.y, end.x - start.x) - Math.PI / 2;
    drawLabelNear(
      page,
      'labels',
      [{ text: `${point} ${mmText(distance(from, to))}`, style: TEXT.labelStrong }],
      lerp(start, end, 0.5),
      beside,
    );
  }
}
