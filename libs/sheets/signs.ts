import { along, direction, leftOf, opposite, type Curve, type Point } from '#geometry';
import type { FindingLevel } from '#pattern';
import { circle, fillMark, polygon, polyline, strokeMark, textMark, type Mark } from './display-list.js';
import { PENS } from './pens.js';
import type { CheckState, FitState } from './proof-content.js';
import type { TextWidths } from './text-widths.js';

/** Half the side of the square that a numbered sign takes. */
export const SIGN_HALF_MM = 3.1;

const SIGN_NUMBER = { sizeMm: 2.3, weight: 'semibold' } as const;

/**
 * The sign of a finding with its number: circle for info, triangle for a warning, filled octagon for a stop.
 *
 * A sample in a legend has no number. The shapes are those of public signs (ISO 7010 triangle; the octagon of the road stop sign, Vienna Convention
 * 1968), so that the level is read before the list is. One that was set aside keeps its shape, hollow and broken.
 */
export function findingSign(
  level: FindingLevel,
  number: number | '',
  centre: Point,
  widths: TextWidths,
  isSetAside = false,
): Mark[] {
  const drop = level === 'warning' ? 1.35 : 0.8;
  const ink = level === 'stop' && !isSetAside ? 'white' : 'black';
  const baseline = { x: centre.x, y: centre.y - drop };
  const place = { at: baseline, anchor: 'middle', ink } as const;
  const shape = isSetAside ? asideShape(level, centre) : signShape(level, centre);
  return number === '' ? [shape] : [shape, textMark(String(number), SIGN_NUMBER, place, widths)];
}

function signShape(level: FindingLevel, centre: Point): Mark {
  const curves = signCurves(level, centre);
  return level === 'stop'
    ? fillMark(curves, 'black')
    : { kind: 'path', curves, stroke: PENS.sign, fill: 'white' };
}

function asideShape(level: FindingLevel, centre: Point): Mark {
  return { kind: 'path', curves: signCurves(level, centre), stroke: PENS.signAside, fill: 'white' };
}

function signCurves(level: FindingLevel, centre: Point): Curve[] {
  switch (level) {
    case 'info':
      return circle(centre, 2.35);
    case 'warning':
      return regularPolygon({ x: centre.x, y: centre.y - 0.75 }, 3.75, 3, Math.PI / 2);
    case 'stop':
      return regularPolygon(centre, 2.75, 8, Math.PI / 8);
  }
}

function regularPolygon(centre: Point, radiusMm: number, corners: number, firstRad: number): Curve[] {
  return polygon(
    Array.from({ length: corners }, (_, i) => {
      const angle = firstRad + (2 * Math.PI * i) / corners;
      return along(centre, { x: Math.cos(angle), y: Math.sin(angle) }, radiusMm);
    }),
  );
}

/** Width that the mark of a state takes before its word. */
export const STATE_MARK_MM = 2.6;

/** The mark of a state, told apart by shape: dot, dot in a ring, cross, ring, dash; a triangle where one has to look. */
export function stateMarks(state: CheckState | FitState, centre: Point): Mark[] {
  const { x, y } = centre;
  const r = 0.75;
  switch (state) {
    case 'ok':
    case 'green':
      return [fillMark(circle(centre, r), 'black')];
    case 'fixed':
      return [strokeMark(circle(centre, r), PENS.sign), fillMark(circle(centre, 0.34), 'black')];
    case 'amber':
      return [strokeMark(regularPolygon({ x, y: y - r / 4 }, 1.15 * r, 3, Math.PI / 2), PENS.sign)];
    case 'off':
    case 'red': {
      const strokes = [
        ...polyline([
          { x: x - r, y: y - r },
          { x: x + r, y: y + r },
        ]),
        ...polyline([
          { x: x - r, y: y + r },
          { x: x + r, y: y - r },
        ]),
      ];
      return [strokeMark(strokes, { widthMm: 0.5, ink: 'black' })];
    }
    case 'for-finishing':
      return [strokeMark(circle(centre, r), PENS.sign)];
    case 'not-checked':
      return [
        strokeMark(
          polyline([
            { x: x - r, y },
            { x: x + r, y },
          ]),
          PENS.sign,
        ),
      ];
  }
}

const HEAD_LENGTH_MM = 2;
/** Half the width of a head, as a share of its length. */
const HEAD_SLIMNESS = 0.28;

/** A filled arrow head with its point at `tip`, pointing along `towards` (length 1). */
function arrowHead(tip: Point, towards: Point, lengthMm: number): Mark {
  const back = along(tip, towards, -lengthMm);
  const side = leftOf(towards);
  const half = lengthMm * HEAD_SLIMNESS;
  return fillMark(polygon([tip, along(back, side, half), along(back, side, -half)]), 'black');
}

/** The shortest move that can be drawn as an arrow on paper; shorter ones are a ring round the point. */
export const ARROW_MM_MIN = 2.6;
export const MOVE_RING_MM = 1;

/** How the move of a point is drawn: a shaft from the old place with a head at the new one. */
export function moveMarks(from: Point, to: Point): Mark[] {
  if (Math.hypot(to.x - from.x, to.y - from.y) < ARROW_MM_MIN) {
    return [strokeMark(circle(to, MOVE_RING_MM), PENS.moved)];
  }
  const towards = direction(from, to);
  const shaft = polyline([from, along(to, towards, -HEAD_LENGTH_MM * 0.8)]);
  return [
    strokeMark(shaft, PENS.moved),
    fillMark(circle(from, 0.4), 'black'),
    arrowHead(to, towards, HEAD_LENGTH_MM),
  ];
}

/** The grain arrow: heads at both ends. */
export function grainMarks(from: Point, to: Point, headMm = HEAD_LENGTH_MM): Mark[] {
  const towards = direction(from, to);
  const shaft = polyline([along(from, towards, headMm / 2), along(to, towards, -headMm / 2)]);
  return [
    strokeMark(shaft, PENS.grain),
    arrowHead(to, towards, headMm),
    arrowHead(from, opposite(towards), headMm),
  ];
}
