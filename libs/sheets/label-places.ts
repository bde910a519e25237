import { along, distance, flatten, type Curve, type Point } from '#geometry';
import { boxOfText, grownBox } from './box.js';
import { polyline, strokeMark, textMark, type PathMark, type TextMark } from './display-list.js';
import { PENS } from './pens.js';
import type { Clearance, Room } from './room.js';
import { INK_ABOVE, INK_BELOW, textWidthMm, type TextStyle, type TextWidths } from './text-widths.js';

/** Beyond this distance a label needs a leader to say what it belongs to. */
const LEADER_FROM_MM = 3.2;

/** Distances tried, near first: within a hand's breadth of the point, or the label is of no use. */
const NEAR_MM = [1.1, 1.8, 2.6, 3.1];
const STEPPED_OFF_MM = [4.5, 6, 8, 10.5, 13];
const FAR_MM = [16, 20, 25, 31, 38];
const DIRECTIONS = 16;

/** What is tried in turn: a place over the old outline is better than one far off. */
const ATTEMPTS: readonly { readonly distances: readonly number[]; readonly clearance: Clearance }[] = [
  { distances: [...NEAR_MM, ...STEPPED_OFF_MM], clearance: 'all' },
  { distances: NEAR_MM, clearance: 'bold-and-text' },
  { distances: FAR_MM, clearance: 'all' },
  { distances: [...STEPPED_OFF_MM, ...FAR_MM], clearance: 'bold-and-text' },
];

export interface PlacedBox {
  readonly centre: Point;
  /** From the point to the edge of the box. */
  readonly leader?: PathMark;
}

/**
 * A place for an upright box near a point: the first free one, near before far, `preferredRad` before the other
 * directions. Undefined when all of about five hundred places are taken.
 */
export function placeNear(
  room: Room,
  point: Point,
  halfWidthMm: number,
  halfHeightMm: number,
  preferredRad: number,
): PlacedBox | undefined {
  for (const { distances, clearance } of ATTEMPTS) {
    for (const mm of distances) {
      for (const angle of fan(preferredRad)) {
        const centre = standOff(point, halfWidthMm, halfHeightMm, angle, mm);
        if (!room.isFree({ centre, halfWidthMm, halfHeightMm, angleRad: 0 }, clearance)) continue;
        if (mm < LEADER_FROM_MM) return { centre };
        const edge = {
          x: Math.min(centre.x + halfWidthMm, Math.max(centre.x - halfWidthMm, point.x)),
          y: Math.min(centre.y + halfHeightMm, Math.max(centre.y - halfHeightMm, point.y)),
        };
        if (room.crossesBox(point, edge)) continue;
        return { centre, leader: strokeMark(polyline([point, edge]), PENS.leader) };
      }
    }
  }
  return undefined;
}

/** Directions from the preferred one outwards to both sides. */
function fan(preferredRad: number): number[] {
  const step = (2 * Math.PI) / DIRECTIONS;
  return Array.from(
    { length: DIRECTIONS },
    (_, i) => preferredRad + step * Math.ceil(i / 2) * (i % 2 === 0 ? 1 : -1),
  );
}

/** How fast a box slides from centred over the point to beside it as the direction turns. */
const SLIDE = 1.5;

// The centre of a box whose edge is `mm` from the point, going round it: over, at the corner, beside.
function standOff(
  point: Point,
  halfWidthMm: number,
  halfHeightMm: number,
  angleRad: number,
  mm: number,
): Point {
  const slide = (share: number): number => Math.max(-1, Math.min(1, SLIDE * share));
  const cos = Math.cos(angleRad);
  const sin = Math.sin(angleRad);
  return {
    x: point.x + mm * cos + halfWidthMm * slide(cos),
    y: point.y + mm * sin + halfHeightMm * slide(sin),
  };
}

/** The text mark whose ink fills an upright box round `centre`. */
export function textInBox(text: string, style: TextStyle, centre: Point, widths: TextWidths): TextMark {
  const baseline = { x: centre.x, y: centre.y - ((INK_ABOVE - INK_BELOW) / 2) * style.sizeMm };
  return textMark(text, style, { at: baseline, anchor: 'middle' }, widths);
}

/** A chain of points with the distance along it, for laying a label along a seam. */
export interface Chain {
  readonly points: readonly Point[];
  readonly distances: readonly number[];
  readonly lengthMm: number;
}

const CHAIN_MM = 0.05;

/** Gaps between the curves, such as the mouths of darts, are bridged straight. */
export function chainOf(curves: readonly Curve[]): Chain {
  const points = curves.flatMap((curve) => flatten(curve, CHAIN_MM));
  const distances = [0];
  for (let i = 1; i < points.length; i++)
    distances.push(distances[i - 1] + distance(points[i - 1], points[i]));
  return { points, distances, lengthMm: distances[distances.length - 1] ?? 0 };
}

function pointOnChain(chain: Chain, mm: number): Point {
  const next = Math.max(
    1,
    chain.distances.findIndex((d) => d >= mm),
  );
  const from = chain.points[next - 1];
  const to = chain.points[next];
  const span = chain.distances[next] - chain.distances[next - 1];
  const t = span === 0 ? 0 : (mm - chain.distances[next - 1]) / span;
  return { x: from.x + (to.x - from.x) * t, y: from.y + (to.y - from.y) * t };
}

/** Places along the seam as shares of its length, the middle first. */
const STATIONS = [0.5, 0.44, 0.56, 0.38, 0.62, 0.32, 0.68, 0.26, 0.74, 0.2, 0.8, 0.15, 0.85];

/** Between the seam line and the ink of its label. */
const SEAM_CLEAR_MM = 1;

/** Tried in turn: beside the seam outside, inside, then over fine lines. */
const SEAM_ATTEMPTS = [
  { clearance: 'all', turn: 1 },
  { clearance: 'all', turn: -1 },
  { clearance: 'bold-and-text', turn: 1 },
  { clearance: 'bold-and-text', turn: -1 },
] as const;

/**
 * A label along a seam: the first of `texts` that has a free place.
 *
 * Shape  `side` is the side to try first: +1 for the left of the chain's travel, -1 for the right. The text reads
 *        from the bottom or from the right of the page, as lettering on technical drawings does (ISO 3098; from
 *        memory).
 */
export function placeAlong(
  room: Room,
  chain: Chain,
  side: 1 | -1,
  texts: readonly string[],
  style: TextStyle,
  widths: TextWidths,
): TextMark | undefined {
  for (const text of texts) {
    const half = textWidthMm(text, style, widths) / 2;
    const middles = STATIONS.map((station) => station * chain.lengthMm).filter(
      (middle) => middle - half >= 0 && middle + half <= chain.lengthMm,
    );
    for (const { clearance, turn } of SEAM_ATTEMPTS) {
      for (const middle of middles) {
        const mark = labelAt(chain, middle, side === turn ? 1 : -1, text, style, widths);
        if (room.isFree(grownBox(boxOfText(mark), 0.4), clearance)) return mark;
      }
    }
  }
  return undefined;
}

function labelAt(
  chain: Chain,
  middleMm: number,
  side: 1 | -1,
  text: string,
  style: TextStyle,
  widths: TextWidths,
): TextMark {
  const half = textWidthMm(text, style, widths) / 2;
  const from = pointOnChain(chain, middleMm - half);
  const to = pointOnChain(chain, middleMm + half);
  const angle = Math.atan2(to.y - from.y, to.x - from.x);
  const normal = { x: -Math.sin(angle) * side, y: Math.cos(angle) * side };
  // The seam bulges towards the label by this much between the label's ends.
  const bulge = chain.points.reduce((most, p, i) => {
    if (chain.distances[i] < middleMm - half || chain.distances[i] > middleMm + half) return most;
    return Math.max(most, (p.x - from.x) * normal.x + (p.y - from.y) * normal.y);
  }, 0);
  const middle = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
  const reading = readingAngle(angle);
  const upwards = Math.cos(reading) * normal.y - Math.sin(reading) * normal.x > 0;
  const ink = upwards ? INK_BELOW : INK_ABOVE;
  const at = along(middle, normal, SEAM_CLEAR_MM + bulge + ink * style.sizeMm);
  return textMark(text, style, { at, anchor: 'middle', angleRad: reading }, widths);
}

/** Steepest downward slope at which text is still read from the left; steeper text is turned to read upwards. */
const READING_RAD_MIN = (-80 * Math.PI) / 180;

function readingAngle(angleRad: number): number {
  let angle = angleRad;
  while (angle <= READING_RAD_MIN) angle += Math.PI;
  while (angle > READING_RAD_MIN + Math.PI) angle -= Math.PI;
  return angle;
}
