import type { CutPoint } from '#finishing';
import {
  add,
  along,
  type Curve,
  DEG,
  direction,
  distance,
  leftOf,
  lerp,
  mapCurve,
  type Point,
  scale,
} from '#geometry';
import { dxfOf } from '../dxf-of.js';
import { between, type FaultKind, longestSide, pick, pieceFault, signed } from './fault.js';

/** Curve points with evenly spaced curve points on both sides. */
function smoothPoints(cut: readonly CutPoint[]): number[] {
  return cut.flatMap((_, i) => {
    if (i < 3 || i + 3 >= cut.length) return [];
    const near = cut.slice(i - 2, i + 3);
    if (cut.slice(i - 3, i + 4).some(({ kind }) => kind === 'turn')) return [];
    const sides = near.slice(1).map(({ at }, k) => distance(near[k].at, at));
    return Math.max(...sides) < 3 * Math.min(...sides) && Math.min(...sides) > 2 ? [i] : [];
  });
}

export function shifted(curves: readonly Curve[], by: Point): Curve[] {
  return curves.map((curve) => mapCurve(curve, (p) => add(p, by)));
}

export const OUTLINE_FAULTS: readonly FaultKind[] = [
  pieceFault(
    'outline the wrong way round',
    ['OUTLINE_REVERSED'],
    ['front', 'back', 'waistband', 'fly-facing', 'pocket-bag'],
    (piece) => ({ piece: { ...piece, cut: [...piece.cut].reverse() } }),
  ),
  pieceFault(
    'point doubled',
    ['POINT_DOUBLED'],
    ['front', 'back', 'waistband', 'pocket-bag'],
    (piece, next) => {
      const i = Math.floor(next() * piece.cut.length);
      return {
        piece: { ...piece, cut: [...piece.cut.slice(0, i + 1), ...piece.cut.slice(i)] },
        at: piece.cut[i].at,
        withinMm: 1,
      };
    },
  ),
  pieceFault('side too short to cut', ['EDGE_SHORT'], ['waistband', 'fly-shield'], (piece, next) => {
    const i = Math.floor(next() * piece.cut.length);
    const { at } = piece.cut[i];
    const before = piece.cut[(i + piece.cut.length - 1) % piece.cut.length].at;
    const after = piece.cut[(i + 1) % piece.cut.length].at;
    const mm = between(next, 0.08, 0.3);
    const corner = [along(at, direction(at, before), mm), along(at, direction(at, after), mm)];
    return {
      piece: {
        ...piece,
        cut: piece.cut.flatMap((point, k) =>
          k === i ? corner.map((p): CutPoint => ({ at: p, kind: 'turn' })) : [point],
        ),
      },
      at,
      withinMm: 2,
    };
  }),
  pieceFault('spike', ['OUTLINE_SLIVER'], ['front', 'back', 'waistband'], (piece, next) => {
    const i = longestSide(piece);
    const [a, b] = [piece.cut[i].at, piece.cut[(i + 1) % piece.cut.length].at];
    const u = direction(a, b);
    const foot = lerp(a, b, between(next, 0.3, 0.7));
    // Half a degree to two and a half: what is left of a slip of the pen.
    const high = between(next, 4, 25);
    const wide = high * Math.tan(between(next, 0.5, 2.5) * DEG);
    const tip = along(along(foot, u, wide / 2), leftOf(u), high);
    const spike = [foot, tip, along(foot, u, wide)].map((at): CutPoint => ({ at, kind: 'turn' }));
    return {
      piece: { ...piece, cut: [...piece.cut.slice(0, i + 1), ...spike, ...piece.cut.slice(i + 1)] },
      at: tip,
      withinMm: 2,
    };
  }),
  pieceFault(
    'outline crosses itself',
    ['OUTLINE_CROSSES'],
    ['front', 'back', 'waistband', 'fly-shield'],
    (piece, next) => {
      const i = longestSide(piece);
      const [a, b] = [piece.cut[i].at, piece.cut[(i + 1) % piece.cut.length].at];
      const [u, m] = [direction(a, b), lerp(a, b, between(next, 0.4, 0.6))];
      const [reach, high] = [between(next, 2, 15), between(next, 1, 6)];
      const loop = [
        along(along(m, u, reach), leftOf(u), high),
        along(along(m, u, -reach), leftOf(u), high),
      ].map((at): CutPoint => ({ at, kind: 'turn' }));
      return {
        piece: { ...piece, cut: [...piece.cut.slice(0, i + 1), ...loop, ...piece.cut.slice(i + 1)] },
        at: along(m, leftOf(u), high / 2),
        withinMm: 20,
      };
    },
  ),
  pieceFault('curve point out of line', ['CURVE_UNFAIR'], ['front', 'back', 'pocket-bag'], (piece, next) => {
    const smooth = smoothPoints(piece.cut);
    if (smooth.length === 0) return undefined;
    const i = pick(next, smooth);
    const along0 = direction(piece.cut[i - 1].at, piece.cut[i + 1].at);
    const by = scale(leftOf(along0), signed(next, 0.6, 2.5));
    return {
      piece: {
        ...piece,
        cut: piece.cut.map((point, k) => (k === i ? { ...point, at: add(point.at, by) } : point)),
      },
      at: piece.cut[i].at,
      withinMm: 15,
    };
  }),
  {
    name: 'outline open',
    codes: ['OUTLINE_OPEN'],
    plant({ pattern }, next) {
      const piece = pick(next, pattern.pieces);
      const rows = dxfOf(pattern.pieces).split('\r\n');
      const block = rows.findIndex((row, i) => row === 'BLOCK' && rows[i + 4] === piece.id.toUpperCase());
      const start = rows.findIndex((row, i) => i > block && row === 'POLYLINE' && rows[i + 2] === '1');
      const end = rows.indexOf('SEQEND', start);
      rows[start + 6] = '0';
      // The last vertex only repeats the first.
      rows.splice(end - 9, 8);
      return {
        text: rows.join('\r\n'),
        piece: piece.id.toUpperCase(),
        at: piece.cut[piece.cut.length - 1].at,
        withinMm: 5,
      };
    },
  },
];
