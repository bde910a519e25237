import {
  along,
  cross,
  curveLength,
  dot,
  leftOf,
  mapCurve,
  reversed,
  splitCurveAtLength,
  startDirection,
  startOf,
  type Curve,
  type Point,
} from '#geometry';
import { pieceOf, type EdgeRole, type Piece, type PieceRole } from '#pattern';
import type { Box } from './box.js';
import { circle, strokeMark } from './display-list.js';
import { textInBox } from './label-places.js';
import { degText } from './number-words.js';
import { PENS, TEXT } from './pens.js';
import type { CornerRow, ProofContent } from './proof-content.js';
import { outsidePieces, type ProofPage } from './proof-drawing.js';
import type { SheetPlan } from './sheet-plan.js';
import { linePitchMm } from './table.js';

/** What is shown of each seam, from the corner on: enough to see an angle of two degrees, little enough for six corners. */
const ARM_MM = 10;
const RING_MM = ARM_MM + 0.8;
const CLEAR_MM = 1;
const LINES = 2;
const LABEL_MM = LINES * linePitchMm(TEXT.small);
const HALF_WIDTH_MM = RING_MM + CLEAR_MM;
const HALF_HEIGHT_MM = RING_MM + LABEL_MM / 2 + CLEAR_MM;

/** Places that are looked at lie this far apart: over the drawing at most five thousand of them, once for all corners. */
const STEP_MM = { across: 3, down: 4 } as const;

const LENGTH_TOLERANCE_MM = 0.01;

/** The seam that is sewn at a corner, and the edges that it makes one. */
interface Sewn {
  readonly seam: EdgeRole;
  readonly edge: EdgeRole;
  /** A piece that is sewn to its own mirror image; both pieces where it is left out. */
  readonly only?: PieceRole;
}

const SEWN: Readonly<Record<string, Sewn | undefined>> = {
  fork: { seam: 'inseam', edge: 'rise' },
  'side waist': { seam: 'outseam', edge: 'waist' },
  'side hem': { seam: 'outseam', edge: 'hem' },
  'inseam hem': { seam: 'inseam', edge: 'hem' },
  'centre front waist': { seam: 'rise', edge: 'waist', only: 'front' },
  'centre back waist': { seam: 'rise', edge: 'waist', only: 'back' },
};

/**
 * Draw each corner as it is sewn, at true size, where the drawing leaves room outside front and back: the front or the
 * piece itself bold, its partner laid on along the seam thin. A kink or a step is seen here before it is sewn.
 *
 * Corners that are off come first; one that finds no place is in the table only.
 */
export function drawCorners(page: ProofPage, plan: SheetPlan, { after, corners }: ProofContent): void {
  const isOutside = outsidePieces(plan, after);
  const places = placesOn(page);
  const rows = [...corners].sort((a, b) => Number(b.state === 'off') - Number(a.state === 'off'));
  for (const row of rows) {
    const sewn = SEWN[row.at];
    if (sewn === undefined) continue;
    const own = armsOf(pieceOf(after, sewn.only ?? 'front'), sewn);
    const other = sewn.only === undefined ? armsOf(pieceOf(after, 'back'), sewn) : own;
    if (own === undefined || other === undefined) continue;
    // Room is only ever taken: a place that one corner had to pass by is no place for the next.
    const box = nextFree(page, places, isOutside);
    if (box === undefined) return;
    drawCorner(page, box, row, own, other);
  }
}

function nextFree(
  page: ProofPage,
  places: Iterator<Point, void>,
  isOutside: (point: Point) => boolean,
): Box | undefined {
  for (let next = places.next(); next.done !== true; next = places.next()) {
    const box: Box = {
      centre: next.value,
      halfWidthMm: HALF_WIDTH_MM,
      halfHeightMm: HALF_HEIGHT_MM,
      angleRad: 0,
    };
    if (page.room.isFree(box, 'all') && isOutside(box.centre)) return box;
  }
  return undefined;
}

/** Row by row from the top, where two waists leave room between them. */
function* placesOn({ room: { bounds } }: ProofPage): Generator<Point, void> {
  for (let y = bounds.top - HALF_HEIGHT_MM; y >= bounds.bottom + HALF_HEIGHT_MM; y -= STEP_MM.down)
    for (let x = bounds.left + HALF_WIDTH_MM; x <= bounds.right - HALF_WIDTH_MM; x += STEP_MM.across)
      yield { x, y };
}

/** The two edges at a corner, both leaving it, no longer than is shown. */
interface Arms {
  readonly corner: Point;
  readonly seam: Curve;
  readonly edge: Curve;
}

function armsOf({ role, edges }: Piece, { seam, edge }: Sewn): Arms | undefined {
  for (const [i, before] of edges.entries()) {
    const behind = edges[(i + 1) % edges.length];
    const roles = [before.role, behind.role];
    if (!roles.includes(seam) || !roles.includes(edge)) continue;
    const arms = [reversed(before.curve), behind.curve].map((curve) => arm(upright(role, curve)));
    const [seamArm, edgeArm] = before.role === seam ? arms : [arms[1], arms[0]];
    return { corner: startOf(seamArm), seam: seamArm, edge: edgeArm };
  }
  return undefined;
}

function arm(curve: Curve): Curve {
  const lengthMm = curveLength(curve, LENGTH_TOLERANCE_MM);
  return lengthMm <= ARM_MM ? curve : splitCurveAtLength(curve, ARM_MM, LENGTH_TOLERANCE_MM).head;
}

/** As the pieces lie on the sheet: the back mirrored. */
function upright(role: PieceRole, curve: Curve): Curve {
  return role === 'front' ? curve : mapCurve(curve, ({ x, y }) => ({ x: -x, y }));
}

function drawCorner(page: ProofPage, box: Box, row: CornerRow, own: Arms, other: Arms): void {
  const { centre } = box;
  const middle = { x: centre.x, y: centre.y + LABEL_MM / 2 };
  const place = ({ x, y }: Point): Point => ({
    x: middle.x + x - own.corner.x,
    y: middle.y + y - own.corner.y,
  });
  const sew = laidOn(own, other);
  const arms = ({ seam, edge }: Arms, move: (p: Point) => Point): Curve[] =>
    [seam, edge].map((curve) => mapCurve(curve, move));
  page.room.addBox(box);
  page.draw('corners', [
    strokeMark(circle(middle, RING_MM), PENS.leader),
    strokeMark(arms(own, place), PENS.seam),
    strokeMark(
      arms(other, (p) => place(sew(p))),
      PENS.stitch,
    ),
  ]);
  const words = [row.at, `1:1, ${degText(row.sumDeg)}`];
  page.draw(
    'labels',
    words.map((text, i) =>
      textInBox(
        text,
        i === 0 ? TEXT.smallStrong : TEXT.small,
        { x: middle.x, y: middle.y - RING_MM - (i + 0.5) * linePitchMm(TEXT.small) },
        page.widths,
      ),
    ),
  );
}

/** Lay the partner on the piece as it is sewn: corner on corner, seam along seam, its cloth on the other side. */
function laidOn(own: Arms, other: Arms): (p: Point) => Point {
  const to = startDirection(own.seam);
  const from = startDirection(other.seam);
  const sideOf = ({ edge }: Arms, seam: Point): number => Math.sign(cross(seam, startDirection(edge)));
  const turnover = sideOf(own, to) === sideOf(other, from) ? -1 : 1;
  return (p) => {
    const offset = { x: p.x - other.corner.x, y: p.y - other.corner.y };
    const onward = along(own.corner, to, dot(offset, from));
    return along(onward, leftOf(to), turnover * cross(from, offset));
  };
}
