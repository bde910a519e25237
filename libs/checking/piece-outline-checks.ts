import {
  cross,
  DEG,
  distance,
  dot,
  endDirection,
  endOf,
  norm,
  polygonArea,
  ringCrossings,
  startDirection,
  startOf,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { inDegrees, inMm } from '#pattern';
import type { ForeignLine, ForeignPiece } from '#interchange';
import { CHOICE, PRACTICE, type Found } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { foldEnds, FOLD_END_MM } from './fold-lines.js';
import { goesRound, isJudgedClosed, POINTS_MAX, turnDeg, turnsOf, type SeamOutline } from './seam-outline.js';

const CROSSINGS_MAX = 8;
const SAME_KIND_MAX = 12;
const CUTOUTS_MAX = 100;

/** Every fault of a piece's cut line and sew lines that needs no other line: open, crossing, doubled, sharp, kinked, uneven. */
export function checkOutlines(piece: ForeignPiece, settings: CheckSettings): Found[] {
  const { boundary } = piece;
  const lines = [
    ...(boundary === undefined ? [] : [{ line: boundary, part: 'cut line' }]),
    ...piece.sewLines.slice(0, CUTOUTS_MAX).map((line) => ({ line, part: 'sew line' })),
    ...piece.cutouts.slice(0, CUTOUTS_MAX).map((line) => ({ line, part: 'cutout' })),
  ];
  return lines.flatMap(({ line, part }) => [
    ...openOrFew(piece, line, part),
    ...doubled(piece, line, part),
    ...(line.closed && line.points.length > 2 && line.points.length <= POINTS_MAX
      ? ringFaults(piece, line, part, settings)
      : []),
  ]);
}

function openOrFew(piece: ForeignPiece, line: ForeignLine, part: string): Found[] {
  const place = { piece: piece.block, part, at: line.points[line.points.length - 1], line: line.line };
  if (line.points.length > POINTS_MAX)
    return [
      {
        code: 'TOO_MANY_POINTS',
        level: 'stop',
        message: `The ${part} of ${piece.name} has ${line.points.length} points; up to ${POINTS_MAX} are judged.`,
        action: 'Write it with fewer points.',
        place,
        numbers: { points: line.points.length },
        basis: CHOICE,
      },
    ];
  if (line.closed) return [];
  const [from, to] = [line.points[line.points.length - 1], line.points[0]];
  const gapMm = distance(from, to);
  const isSeam = part === 'sew line';
  const isJudged = isSeam && isJudgedClosed(line, piece.boundary);
  const isRound = isSeam && goesRound(piece, line);
  return [
    {
      code: 'OUTLINE_OPEN',
      level: isSeam && (isJudged || !isRound) ? 'warning' : 'stop',
      message: `The ${part} of ${piece.name} is open by ${gapMm.toFixed(2)} mm${isRound && isJudged ? '; it was judged as if it were closed' : ''}.`,
      action: `Close it between (${from.x.toFixed(1)}, ${from.y.toFixed(1)}) and (${to.x.toFixed(1)}, ${to.y.toFixed(1)}).`,
      place: { ...place, at: from },
      numbers: { gapMm },
      tolerance: { value: 0.03, unit: 'mm' },
      basis: ASTM_CLOSED,
    },
  ];
}

const ASTM_CLOSED = 'ASTM D6673-10 asks for closed polylines; read in secondary sources';

function doubled(piece: ForeignPiece, { doubled: points }: ForeignLine, part: string): Found[] {
  return points.slice(0, SAME_KIND_MAX).map((at) => ({
    code: 'POINT_DOUBLED',
    level: 'warning',
    message: `The ${part} of ${piece.name} says the same point twice.`,
    action: 'Leave one of them out.',
    place: { piece: piece.block, part, at, ...(at.source === undefined ? {} : { line: at.source.xLine }) },
    numbers: { count: points.length },
    tolerance: { value: 0.006, unit: 'mm' },
    basis: PRACTICE,
  }));
}

function ringFaults(piece: ForeignPiece, line: ForeignLine, part: string, settings: CheckSettings): Found[] {
  const { points } = line;
  const turns = turnsOf(piece, points);
  const crossings = ringCrossings(points, CROSSINGS_MAX).map(({ at }): Found => ({
    code: 'OUTLINE_CROSSES',
    level: 'stop',
    message: `The ${part} of ${piece.name} meets itself at (${at.x.toFixed(1)}, ${at.y.toFixed(1)}).`,
    action: 'Redraw it there so that it neither crosses nor touches.',
    place: { piece: piece.block, part, at },
    basis: PRACTICE,
  }));
  const thin = thinness(points);
  return [
    ...crossings,
    ...(thin.widthMm < THIN_MM ? [thinPiece(piece, points[0], part, thin)] : []),
    ...points
      .flatMap((_, i) => vertexFaults(piece, points, turns, i, part, settings))
      .slice(0, SAME_KIND_MAX),
  ];
}

/** A ring narrower than this is no piece but a line drawn there and back. */
const THIN_MM = 3;

function thinness(points: readonly Point[]): { readonly areaMm2: number; readonly widthMm: number } {
  const areaMm2 = Math.abs(polygonArea(points));
  const roundMm = points.reduce(
    (sum, p, i) => sum + distance(points[(i + points.length - 1) % points.length], p),
    0,
  );
  return { areaMm2, widthMm: (2 * areaMm2) / Math.max(roundMm, 1e-9) };
}

function thinPiece(
  piece: ForeignPiece,
  at: Point,
  part: string,
  { areaMm2, widthMm }: { areaMm2: number; widthMm: number },
): Found {
  return {
    code: 'PIECE_SLIVER',
    level: 'stop',
    message: `The ${part} of ${piece.name} encloses next to nothing: it is ${inMm(widthMm)} wide on the whole.`,
    action: 'Leave the piece out, or draw it anew.',
    place: { piece: piece.block, part, at },
    numbers: { areaMm2, widthMm },
    tolerance: { value: THIN_MM, unit: 'mm' },
    basis: CHOICE,
  };
}

function vertexFaults(
  piece: ForeignPiece,
  points: readonly Point[],
  turns: readonly boolean[],
  i: number,
  part: string,
  { outline }: CheckSettings,
): Found[] {
  const count = points.length;
  const at = points[i];
  const turn = turnDeg(points, i);
  const enclosedDeg = 180 - Math.abs(turn);
  const place = { piece: piece.block, part, at };
  if (enclosedDeg < outline.sliverDeg)
    return [
      {
        code: 'OUTLINE_SLIVER',
        level: 'warning',
        message: `The ${part} of ${piece.name} has a point of ${inDegrees(enclosedDeg)}.`,
        action: 'Cut the point off, or draw it as a dart.',
        place,
        numbers: { angleDeg: enclosedDeg },
        tolerance: { value: outline.sliverDeg, unit: 'degrees' },
        basis: CHOICE,
      },
    ];
  const next = points[(i + 1) % count];
  const sideMm = distance(at, next);
  const faults: Found[] = [];
  if (sideMm < outline.shortMm && turns[i] && turns[(i + 1) % count])
    faults.push({
      code: 'EDGE_SHORT',
      level: 'warning',
      message: `A side of the ${part} of ${piece.name} is only ${sideMm.toFixed(3)} mm long.`,
      action: 'Merge it into its neighbour: a cutter cannot follow it.',
      place,
      numbers: { lengthMm: sideMm },
      tolerance: { value: outline.shortMm, unit: 'mm' },
      basis: PRACTICE,
    });
  return [...faults, ...curveFaults(piece, points, turns, i, part, outline)];
}

/** A point out of its curve, or a corner in it that is none. */
function curveFaults(
  piece: ForeignPiece,
  points: readonly Point[],
  turns: readonly boolean[],
  i: number,
  part: string,
  outline: CheckSettings['outline'],
): Found[] {
  const turn = turnDeg(points, i);
  const place = { piece: piece.block, part, at: points[i] };
  const faults: Found[] = [];
  const offMm = turns[i] ? 0 : outOfLineMm(points, turns, i);
  if (offMm > outline.fairMm)
    faults.push({
      code: 'CURVE_UNFAIR',
      level: 'warning',
      message: `A point of the ${part} of ${piece.name} stands ${inMm(offMm)} out of the curve of its neighbours.`,
      action: 'Move the point into the curve, or take it out.',
      place,
      numbers: { offMm },
      tolerance: { value: outline.fairMm, unit: 'mm' },
      basis: CHOICE,
    });
  else if (
    Math.abs(turn) > outline.kinkDeg &&
    Math.abs(turn) < outline.cornerDeg &&
    !turns[i] &&
    isKink(points, i)
  )
    faults.push({
      code: 'OUTLINE_KINK',
      level: 'warning',
      message: `The ${part} of ${piece.name} has a kink of ${inDegrees(Math.abs(turn))}.`,
      action: 'Draw the curve on through the point, or make it a corner.',
      place,
      numbers: { kinkDeg: turn },
      tolerance: { value: outline.kinkDeg, unit: 'degrees' },
      basis: CHOICE,
    });
  return faults;
}

/**
 * Where two curves of a seam meet at a turn point by a little only: a corner of a few degrees is none that anybody meant.
 *
 * Not said of a corner that is flat once it is sewn: at the end of a fold line, and where a pleat (`isPleat`, by the
 * place of a curve in the outline) begins or ends; how the waist goes on over the shut pleat is truing's to say.
 */
export function checkKinks(
  { piece, curves, points, turns, basis }: SeamOutline,
  isPleat: (curve: number) => boolean,
  { outline }: CheckSettings,
): Found[] {
  const folds = foldEnds(
    piece,
    curves.map(({ curve }) => curve),
  );
  return curves.flatMap(({ curve, first }, i): Found[] => {
    const into = curves[(i + curves.length - 1) % curves.length].curve;
    if (basis === 'cut line' || !turns[first % points.length] || !hasLength(curve) || !hasLength(into))
      return [];
    const [a, b] = [endDirection(into), startDirection(curve)];
    const kinkDeg = Math.atan2(cross(a, b), dot(a, b)) / DEG;
    if (Math.abs(kinkDeg) <= outline.kinkDeg || Math.abs(kinkDeg) >= outline.cornerDeg) return [];
    if (isPleat(i) !== isPleat((i + curves.length - 1) % curves.length)) return [];
    if (folds.some((end) => distance(end, startOf(curve)) <= FOLD_END_MM)) return [];
    return [
      {
        code: 'OUTLINE_KINK',
        level: 'warning',
        message: `The sew line of ${piece.name} has a kink of ${inDegrees(Math.abs(kinkDeg))}.`,
        action: 'Draw the curve on through the point, or make it a corner.',
        place: { piece: piece.block, part: 'sew line', at: startOf(curve) },
        numbers: { kinkDeg },
        tolerance: { value: outline.kinkDeg, unit: 'degrees' },
        basis: CHOICE,
      },
    ];
  });
}

/** Directions of a curve of a millimetre are those of its last decimals. */
function hasLength(curve: Curve): boolean {
  return distance(startOf(curve), endOf(curve)) > 2;
}

/** A vertex that turns much more than both its neighbours, with some way before and behind it. */
const KINK_RATIO = 3;
const KINK_SIDE_MM = 3;

function isKink(points: readonly Point[], i: number): boolean {
  const count = points.length;
  const [before, after] = [(i + count - 1) % count, (i + 1) % count];
  const turn = Math.abs(turnDeg(points, i));
  const near = Math.max(Math.abs(turnDeg(points, before)), Math.abs(turnDeg(points, after)));
  const sides = Math.min(distance(points[before], points[i]), distance(points[i], points[after]));
  return near < CORNER_NEAR_DEG && turn > KINK_RATIO * near && sides > KINK_SIDE_MM;
}

/** Next to a corner a small turn is the corner's own shape. */
const CORNER_NEAR_DEG = 25;

/** Sides that differ by more than this were not spaced as one curve. */
const SPACING_RATIO = 4;

/**
 * How far a vertex stands off the cubic through the two before and the two behind it; 0 where they are not one curve.
 *
 * What one point out of line does to its neighbours is a quarter of it and less, so the one that is out stands out.
 */
function outOfLineMm(points: readonly Point[], turns: readonly boolean[], i: number): number {
  const count = points.length;
  if (count < 6) return 0;
  const near = [-2, -1, 0, 1, 2].map((step) => (i + step + count) % count);
  if (turns[near[1]] || turns[near[3]]) return 0;
  const five = near.map((k) => points[k]);
  const along = [0];
  for (let k = 1; k < 5; k++) along.push(along[k - 1] + distance(five[k - 1], five[k]));
  const sides = along.slice(1).map((mm, k) => mm - along[k]);
  if (Math.max(...sides) > SPACING_RATIO * Math.min(...sides)) return 0;
  const others = [0, 1, 3, 4];
  const foretold = others.reduce(
    (sum, k) => {
      const share = others
        .filter((other) => other !== k)
        .reduce((product, other) => (product * (along[2] - along[other])) / (along[k] - along[other]), 1);
      return { x: sum.x + share * five[k].x, y: sum.y + share * five[k].y };
    },
    { x: 0, y: 0 },
  );
  return norm(way(foretold, five[2]));
}
