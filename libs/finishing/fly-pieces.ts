import {
  along,
  at,
  cubic,
  distance,
  dot,
  endOf,
  line,
  nearestParameter,
  pointAt,
  QUARTER_HANDLE,
  reversed,
  splitCurve,
  startDirection,
  startOf,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { edgesOf, USUAL_FLY, type Finding, type Piece } from '#pattern';
import type { FinishRules } from './finish-rules.js';
import { FLY_END_MM } from './set-notches.js';
import { stripSides, type SmallPiecePlan } from './small-piece.js';

/** The shield is this much wider and longer than the facing, to cover it. Common practice, no source. */
const SHIELD_OVER_MM = 12;

export interface FlyPieces {
  readonly plans: readonly SmallPiecePlan[];
  readonly findings: readonly Finding[];
}

/**
 * Fly facing and fly shield, taken from the trued front.
 *
 * Shape     the facing is the part of the front between its centre, its waist and the fly line; the shield is a folded
 *           strip that covers it. Without a fly line in the block a usual one of 170 by 38 mm is laid.
 * Edges     a fly line that does not reach the waist's last edge and the rise makes no pieces but a finding.
 */
export function flyPieces(front: Piece, rules: FinishRules): FlyPieces {
  if (rules.fly === 'none') return { plans: [], findings: [] };
  const curves = front.lines.filter(({ role }) => role === 'fly').flatMap((drawn) => drawn.curves);
  const sides = facingSides(front, curves.length > 0 ? curves : usualFly(front), rules);
  if (sides === undefined) return { plans: [], findings: [NO_FLY] };
  const { lengthMm, widthMm } = sides;
  const down = startDirection(edgesOf(front, 'rise')[0].curve);
  const middle = along(sides.top, down, lengthMm * 0.45);
  const facing: SmallPiecePlan = {
    id: 'fly-facing',
    name: 'Fly facing',
    sides: sides.sides,
    notches: [],
    lines: [],
    grain: [along(middle, { x: 0, y: 1 }, -lengthMm * 0.2), along(middle, { x: 0, y: 1 }, lengthMm * 0.2)],
    quantity: { asDrawn: 1, mirrored: 0 },
    cloth: ['shell', 'fusible'],
    sideWords: FACING_SIDE,
  };
  return { plans: [facing, shieldPlan(lengthMm, widthMm, rules)], findings: [] };
}

/**
 * The front is drawn with the right side of the cloth up, so as drawn it is the wearer's right one, the fork towards the
 * left leg. A facing lies against the wrong side of its front, face to the body: what looks like the right front from
 * outside is, face up, the facing of the left front.
 */
const FACING_SIDE = 'face up: for the left front; turn over for the right';

const NO_FLY: Finding = {
  code: 'FLY_PIECES_MISSING',
  level: 'warning',
  message:
    'The fly line does not run from the waist to the front rise, so no fly pieces can be taken from it.',
  action: 'Draw the fly line from the waist seam to the rise, or order "fly": "none".',
  place: { piece: 'front', part: 'fly' },
};

interface FacingSides {
  readonly sides: SmallPiecePlan['sides'];
  readonly lengthMm: number;
  readonly widthMm: number;
  /** A point between centre and fly line at the waist. */
  readonly top: Point;
}

function facingSides(front: Piece, fly: readonly Curve[], rules: FinishRules): FacingSides | undefined {
  const rise = edgesOf(front, 'rise').map(({ curve }) => curve);
  const waist = centreWaist(front);
  if (waist.length === 0 || fly.length === 0) return undefined;
  const centre = startOf(rise[0]);
  const isDown = dot(way(startOf(fly[0]), endOf(fly[fly.length - 1])), startDirection(rise[0])) > 0;
  const line = isDown ? fly : [...fly].reverse().map(reversed);
  const top = startOf(line[0]);
  const end = endOf(line[line.length - 1]);
  const head = headUpTo(rise, end);
  const back = headUpTo([...waist].reverse().map(reversed), top);
  if (head === undefined || back === undefined) return undefined;
  const upwards = [...line].reverse().map(reversed);
  const closing = withEnds(upwards, endOf(head[head.length - 1]), endOf(back[back.length - 1]));
  const { smallPiecesMm, waistMm, centreFrontMm } = rules.allowances;
  return {
    sides: [
      { seam: 'centre front', curves: head, widthMm: centreFrontMm },
      { seam: 'edge', curves: closing, widthMm: smallPiecesMm },
      { seam: 'waist', curves: [...back].reverse().map(reversed), widthMm: waistMm },
    ],
    lengthMm: distance(centre, endOf(head[head.length - 1])),
    widthMm: distance(centre, top),
    top: { x: (centre.x + top.x) / 2, y: (centre.y + top.y) / 2 },
  };
}

/** The chain from its start to the point nearest to `p`; undefined when `p` is not on it. */
function headUpTo(chain: readonly Curve[], p: Point): Curve[] | undefined {
  const apart = chain.map((curve) => {
    const t = nearestParameter(curve, p);
    return { t, mm: distance(pointAt(curve, t), p) };
  });
  const nearest = apart.reduce((best, { mm }, i) => (mm < apart[best].mm ? i : best), 0);
  if (apart[nearest].mm > FLY_END_MM) return undefined;
  const { t } = apart[nearest];
  if (t <= 0) return nearest === 0 ? undefined : chain.slice(0, nearest);
  return [...chain.slice(0, nearest), splitCurve(chain[nearest], t)[0]];
}

// The drawn fly line ends within a hair of its seams; the facing's outline is closed exactly.
function withEnds(chain: readonly Curve[], from: Point, to: Point): Curve[] {
  return chain.map((curve, i) => {
    const start = i === 0 ? from : startOf(curve);
    const end = i + 1 === chain.length ? to : endOf(curve);
    return curve.kind === 'line' ? line(start, end) : cubic(start, curve.p1, curve.p2, end);
  });
}

function usualFly(front: Piece): Curve[] {
  const rise = edgesOf(front, 'rise').map(({ curve }) => curve);
  const waist = centreWaist(front);
  if (waist.length === 0) return [];
  const down = startDirection(rise[0]);
  const inwards = { x: down.y, y: -down.x };
  const centre = startOf(rise[0]);
  const near = along(centre, inwards, USUAL_FLY.widthMm);
  const top = nearestPoint(waist, near);
  const bendMm = USUAL_FLY.bendPerWidth * USUAL_FLY.widthMm;
  const corner = along(top, down, USUAL_FLY.lengthMm - bendMm);
  const bottom = along(centre, down, USUAL_FLY.lengthMm);
  const end = nearestPoint(rise, bottom);
  const second = along(end, inwards, USUAL_FLY.widthMm * QUARTER_HANDLE);
  return [line(top, corner), cubic(corner, along(corner, down, bendMm * QUARTER_HANDLE), second, end)];
}

/** The waist between its last dart and the centre. */
function centreWaist(front: Piece): Curve[] {
  const lastDart = front.edges.findLastIndex(({ role }) => role === 'dart');
  return front.edges
    .slice(lastDart + 1)
    .filter(({ role }) => role === 'waist')
    .map(({ curve }) => curve);
}

function nearestPoint(chain: readonly Curve[], p: Point): Point {
  const nearest = chain.map((curve) => pointAt(curve, nearestParameter(curve, p)));
  return nearest.reduce((best, q) => (distance(q, p) < distance(best, p) ? q : best));
}

function shieldPlan(lengthMm: number, widthMm: number, rules: FinishRules): SmallPiecePlan {
  const halfMm = widthMm + SHIELD_OVER_MM;
  const heightMm = lengthMm + SHIELD_OVER_MM;
  return {
    id: 'fly-shield',
    name: 'Fly shield',
    sides: stripSides(
      2 * halfMm,
      heightMm,
      ['edge', 'waist', 'edge', 'bottom'],
      rules.allowances.smallPiecesMm,
    ),
    notches: [],
    lines: [{ role: 'fold', curves: [line(at(halfMm, 0), at(halfMm, heightMm))] }],
    grain: [at(halfMm / 2, heightMm * 0.25), at(halfMm / 2, heightMm * 0.7)],
    quantity: { asDrawn: 1, mirrored: 0 },
    cloth: ['shell'],
  };
}
