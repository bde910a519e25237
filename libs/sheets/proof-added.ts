import { line, type Curve, type Point } from '#geometry';
import type { Box } from './box.js';
import { textInBox } from './label-places.js';
import { mmText } from './number-words.js';
import { PENS, TEXT } from './pens.js';
import type { AddedRow, ProofContent } from './proof-content.js';
import { outsidePieces, type ProofPage } from './proof-drawing.js';
import type { SheetPlan } from './sheet-plan.js';
import { textWidthMm } from './text-widths.js';

/** White round an added piece, and between it and its name. */
const CLEAR_MM = 2.5;
const NAME_GAP_MM = 1;

/** Places that are looked at lie this far apart, over an A3 page at most five thousand of them. */
const STEP_MM = 4;

/**
 * Draw the added pieces to the scale of the sheet, each with its name, where the drawing leaves room outside front and
 * back. One that finds none is in the table only, as a casing usually is: it is longer than the drawing is wide.
 */
export function drawAdded(page: ProofPage, plan: SheetPlan, { after, added }: ProofContent): void {
  const isOutside = outsidePieces(plan, after);
  for (const row of added) {
    const spot = spotFor(page, plan, row, isOutside);
    if (spot === undefined) continue;
    page.room.addBox(spot.box);
    page.drawLine('seam-lines', ringAt(spot.corners, spot.middle), PENS.seam, 'bold');
    page.draw('labels', [textInBox(nameOf(row), TEXT.small, spot.name, page.widths)]);
  }
}

interface Spot {
  readonly box: Box;
  readonly corners: readonly Point[];
  readonly middle: Point;
  readonly name: Point;
}

function spotFor(
  page: ProofPage,
  plan: SheetPlan,
  row: AddedRow,
  isOutside: (point: Point) => boolean,
): Spot | undefined {
  for (const corners of shapesOf(row, plan.scale)) {
    const halfUp = Math.max(...corners.map(({ y }) => y));
    const nameMm = TEXT.small.sizeMm + NAME_GAP_MM;
    const halfAcross = Math.max(
      ...corners.map(({ x }) => x),
      textWidthMm(nameOf(row), TEXT.small, page.widths) / 2,
    );
    for (const centre of placesOn(page, plan)) {
      const box: Box = {
        centre,
        halfWidthMm: halfAcross + CLEAR_MM,
        halfHeightMm: halfUp + nameMm / 2 + CLEAR_MM,
        angleRad: 0,
      };
      if (!page.room.isFree(box, 'all') || !isOutside(centre)) continue;
      const middle = { x: centre.x, y: centre.y + nameMm / 2 };
      return {
        box,
        corners,
        middle,
        name: { x: centre.x, y: middle.y - halfUp - nameMm / 2 - NAME_GAP_MM / 2 },
      };
    }
  }
  return undefined;
}

/** Middle first, for between the legs there is most room. */
function placesOn({ room: { bounds } }: ProofPage, plan: SheetPlan): Point[] {
  const places: Point[] = [];
  for (let x = bounds.left; x <= bounds.right; x += STEP_MM)
    for (let y = bounds.bottom; y <= bounds.top; y += STEP_MM) places.push({ x, y });
  const off = ({ x }: Point): number => Math.abs(x - plan.middleX);
  return places.sort((a, b) => off(a) - off(b) || a.y - b.y);
}

/** The corners about the middle, in mm of paper; a strip upright or lying. */
function shapesOf({ shape, lengthMm, widthMm }: AddedRow, scale: number): Point[][] {
  const across = widthMm / 2 / scale;
  if (shape === 'diamond') {
    const up = Math.sqrt(lengthMm ** 2 - (widthMm / 2) ** 2) / scale;
    return [corners(across, up, 'diamond')];
  }
  const up = lengthMm / 2 / scale;
  return [corners(across, up, 'strip'), corners(up, across, 'strip')];
}

function corners(x: number, y: number, shape: 'diamond' | 'strip'): Point[] {
  return shape === 'diamond'
    ? [
        { x: 0, y: -y },
        { x: -x, y: 0 },
        { x: 0, y },
        { x, y: 0 },
      ]
    : [
        { x: -x, y: -y },
        { x: -x, y },
        { x, y },
        { x, y: -y },
      ];
}

function ringAt(points: readonly Point[], middle: Point): Curve[] {
  const placed = points.map(({ x, y }) => ({ x: x + middle.x, y: y + middle.y }));
  return placed.map((point, i) => line(point, placed[(i + 1) % placed.length]));
}

function nameOf({ name, count, lengthMm, widthMm }: AddedRow): string {
  const short = name.length > NAME_LENGTH_MAX ? `${name.slice(0, NAME_LENGTH_MAX)}...` : name;
  return `${short}, cut ${count}: ${mmText(lengthMm)} × ${mmText(widthMm)}`;
}

/** A name longer than this is read in the table. */
const NAME_LENGTH_MAX = 24;
