import { flatten, mapCurve, type Curve, type Point } from '#geometry';
import { outlineOf, type Piece, type PieceRole } from '#pattern';
import { boundsOfPoints, type Bounds } from './box.js';
import type { DrawnPieces } from './proof-content.js';

/** Where the pieces lie on a page: the front as it is, the back mirrored beside it, so that the forks face each other. */
export interface SheetPlan {
  /** 1:scale. */
  readonly scale: number;
  /** Half way between the two pieces. */
  readonly middleX: number;
  readonly toPage: (role: PieceRole, p: Point) => Point;
  readonly levelY: (levelMm: number) => number;
}

/** What the pieces take, in their own millimetres. */
export interface Extent {
  readonly front: Bounds;
  readonly back: Bounds;
  /** Both side by side, without the space between them. */
  readonly widthMm: number;
  readonly heightMm: number;
}

export function extentOf(drawn: readonly DrawnPieces[]): Extent {
  const front = boundsOfPieces(drawn.map((pieces) => pieces.front));
  const back = boundsOfPieces(drawn.map((pieces) => pieces.back));
  return {
    front,
    back,
    widthMm: front.right - front.left + (back.right - back.left),
    heightMm: Math.max(front.top, back.top) - Math.min(front.bottom, back.bottom),
  };
}

/** Fine enough for where a piece ends. */
const EXTENT_MM = 0.1;

function boundsOfPieces(pieces: readonly Piece[]): Bounds {
  return boundsOfPoints(pieces.flatMap(outlineOf).flatMap((curve) => flatten(curve, EXTENT_MM)));
}

/** Lay the pieces with the lower left corner of the front's extent at (`left`, `base`) and `middleMm` between them. */
export function planPieces(
  { front, back }: Extent,
  scale: number,
  left: number,
  base: number,
  middleMm: number,
): SheetPlan {
  const bottom = Math.min(front.bottom, back.bottom);
  const frontEnd = left + (front.right - front.left) / scale;
  const levelY = (levelMm: number): number => base + (levelMm - bottom) / scale;
  const toPage = (role: PieceRole, p: Point): Point =>
    role === 'front'
      ? { x: frontEnd + (p.x - front.right) / scale, y: levelY(p.y) }
      : { x: frontEnd + middleMm + (back.right - p.x) / scale, y: levelY(p.y) };
  return { scale, middleX: frontEnd + middleMm / 2, toPage, levelY };
}

/** Curves of a piece on the page. */
export function onPage(plan: SheetPlan, role: PieceRole, curves: readonly Curve[]): Curve[] {
  return curves.map((curve) => mapCurve(curve, (p) => plan.toPage(role, p)));
}
