import {
  FINISH_DEFAULTS,
  finishBlock,
  type CutNotch,
  type CutPiece,
  type CutPoint,
  type FinishedPattern,
  type FinishRules,
} from '#finishing';
import {
  add,
  along,
  cubic,
  DEG,
  direction,
  distance,
  endDirection,
  endOf,
  leftOf,
  lerp,
  line,
  mapCurve,
  opposite,
  scale,
  startOf,
  turnAbout,
  way,
  type CubicBezier,
  type Curve,
  type Point,
} from '#geometry';
import type { Block, Edge, EdgeRole, Piece } from '#pattern';
import { TRADE_RULES } from '#truing';
import { dxfOf } from './dxf-of.js';
import { blockWithMismatch } from './mismatched-block.js';
import { BAND_READING_FAULTS } from './planted-band-faults.js';

export { dxfOf } from './dxf-of.js';

/** A sound pattern, and how it was finished. */
export interface Sound {
  readonly pattern: FinishedPattern;
  readonly rules: FinishRules;
}

/** A pattern with one fault in it. */
export interface Planted {
  readonly text: string;
  /** The block it was planted in. */
  readonly piece?: string;
  readonly at?: Point;
  /** How near the finding has to be; 40 mm when left out. */
  readonly withinMm?: number;
}

export interface FaultKind {
  readonly name: string;
  /** Any of these is the right name for it. */
  readonly codes: readonly string[];
  /** What it may make true of the pattern besides. */
  readonly follows?: readonly string[];
  /** Undefined where this pattern has nothing to plant it in. */
  plant(sound: Sound, next: () => number): Planted | undefined;
}

const TRUING = { ...TRADE_RULES, lengthToleranceMm: 0.004 };

function between(next: () => number, low: number, high: number): number {
  return low + (high - low) * next();
}

function signed(next: () => number, low: number, high: number): number {
  return (next() < 0.5 ? -1 : 1) * between(next, low, high);
}

function pick<T>(next: () => number, all: readonly T[]): T {
  return all[Math.min(all.length - 1, Math.floor(next() * all.length))];
}

const pieceOf = (pieces: readonly CutPiece[], id: string): CutPiece | undefined =>
  pieces.find((piece) => piece.id === id);

function changed(pieces: readonly CutPiece[], id: string, change: (piece: CutPiece) => CutPiece): CutPiece[] {
  return pieces.map((piece) => (piece.id === id ? change(piece) : piece));
}

// --- faults of the seam lines, planted in the block and finished as it stands

function refinished({ rules }: Sound, block: Block): readonly CutPiece[] {
  return finishBlock(block, rules, { warp: 0, weft: 0 }, TRUING).pieces;
}

function asCubic(curve: Curve): CubicBezier {
  return curve.kind === 'cubic'
    ? curve
    : cubic(curve.p0, lerp(curve.p0, curve.p1, 1 / 3), lerp(curve.p0, curve.p1, 2 / 3), curve.p1);
}

function withEnd(curve: Curve, by: Point): Curve {
  return curve.kind === 'line'
    ? line(curve.p0, add(curve.p1, by))
    : cubic(curve.p0, curve.p1, add(curve.p2, by), add(curve.p3, by));
}

function withStart(curve: Curve, by: Point): Curve {
  return curve.kind === 'line'
    ? line(add(curve.p0, by), curve.p1)
    : cubic(add(curve.p0, by), add(curve.p1, by), curve.p2, curve.p3);
}

function endTurned(curve: Curve, deg: number): Curve {
  const c = asCubic(curve);
  return cubic(c.p0, c.p1, turnAbout(c.p2, c.p3, deg * DEG), c.p3);
}

function startTurned(curve: Curve, deg: number): Curve {
  const c = asCubic(curve);
  return cubic(c.p0, turnAbout(c.p1, c.p0, deg * DEG), c.p2, c.p3);
}

function withCurves(
  piece: Piece,
  change: (edge: Edge, index: number, edges: readonly Edge[]) => Curve,
): Piece {
  return {
    ...piece,
    edges: piece.edges.map((edge, i, edges) => ({ ...edge, curve: change(edge, i, edges) })),
  };
}

function places(piece: Piece, role: EdgeRole): number[] {
  return piece.edges.flatMap((edge, i) => (edge.role === role ? [i] : []));
}

/** The joint at the end of edge `i` moved: both edges follow. */
function jointMoved(piece: Piece, i: number, by: Point): Piece {
  const after = (i + 1) % piece.edges.length;
  return withCurves(piece, ({ curve }, k) =>
    k === i ? withEnd(curve, by) : k === after ? withStart(curve, by) : curve,
  );
}

function blockFault(
  name: string,
  codes: readonly string[],
  change: (
    block: Block,
    next: () => number,
  ) =>
    | { readonly block: Block; readonly piece: string; readonly at: Point; readonly withinMm?: number }
    | undefined,
): FaultKind {
  return {
    name,
    codes,
    plant(sound, next) {
      const done = change(sound.pattern.block, next);
      if (done === undefined) return undefined;
      const { block, ...rest } = done;
      return { text: dxfOf(refinished(sound, block)), ...rest };
    },
  };
}

function waistCorner(role: 'front' | 'back', code: string): FaultKind {
  return blockFault(`centre ${role} waist out of square`, [code], (block, next) => {
    const last = places(block[role], 'waist').at(-1);
    if (last === undefined) return undefined;
    const turn = signed(next, 3, 10);
    const piece = withCurves(block[role], ({ curve }, i) => (i === last ? endTurned(curve, turn) : curve));
    return {
      block: { ...block, [role]: piece },
      piece: role.toUpperCase(),
      at: endOf(block[role].edges[last].curve),
    };
  });
}

/** The back seam longer or shorter, by the length that is said and not by how far a point was moved. */
function lengthFault(seam: 'inseam' | 'outseam', code: string): FaultKind {
  return blockFault(`${seam} too long or short`, [code], (block, next) => {
    const byMm = signed(next, 1.3, 8);
    const edges = places(block.back, seam).map((i) => block.back.edges[i].curve);
    return {
      block: blockWithMismatch(block, { seam, piece: 'back', at: 'top', byMm }),
      piece: 'BACK',
      at: seam === 'inseam' ? startOf(edges[0]) : endOf(edges[edges.length - 1]),
      withinMm: 30,
    };
  });
}

const SEAM_FAULTS: readonly FaultKind[] = [
  lengthFault('inseam', 'INSEAM_MISMATCH'),
  lengthFault('outseam', 'OUTSEAM_MISMATCH'),
  blockFault('fork corner off', ['FORK_ANGLE'], (block, next) => {
    const rise = places(block.back, 'rise').at(-1);
    if (rise === undefined) return undefined;
    const turn = signed(next, 4, 14);
    const back = withCurves(block.back, ({ curve }, i) => (i === rise ? endTurned(curve, turn) : curve));
    const fork = places(block.front, 'rise').at(-1) ?? 0;
    return { block: { ...block, back }, piece: 'FRONT', at: endOf(block.front.edges[fork].curve) };
  }),
  blockFault('side waist corner off', ['SIDE_WAIST_ANGLE'], (block, next) => {
    const [first] = places(block.back, 'waist');
    if (first === undefined) return undefined;
    const turn = signed(next, 4, 14);
    const back = withCurves(block.back, ({ curve }, i) => (i === first ? startTurned(curve, turn) : curve));
    const front = places(block.front, 'waist')[0] ?? 0;
    return { block: { ...block, back }, piece: 'FRONT', at: startOf(block.front.edges[front].curve) };
  }),
  waistCorner('front', 'CENTRE_FRONT_WAIST_ANGLE'),
  waistCorner('back', 'CENTRE_BACK_WAIST_ANGLE'),
  blockFault('dart legs unequal', ['DART_LEGS_UNEQUAL'], (block, next) => {
    const legs = places(block.back, 'dart');
    if (legs.length < 2) return undefined;
    const leg = block.back.edges[legs[1]];
    const by = scale(direction(startOf(leg.curve), endOf(leg.curve)), signed(next, 0.9, 6));
    return {
      block: { ...block, back: jointMoved(block.back, legs[1], by) },
      piece: 'BACK',
      at: startOf(leg.curve),
      withinMm: 20,
    };
  }),
  blockFault('waist kinked over its dart', ['WAIST_KINK_AT_DART'], (block, next) => {
    const leg = places(block.back, 'dart')[1];
    if (leg === undefined) return undefined;
    const after = (leg + 1) % block.back.edges.length;
    const turn = signed(next, 5, 14);
    const back = withCurves(block.back, ({ curve }, i) => (i === after ? startTurned(curve, turn) : curve));
    return { block: { ...block, back }, piece: 'BACK', at: startOf(block.back.edges[after].curve) };
  }),
  blockFault('inseam kinked', ['OUTLINE_KINK'], (block, next) => {
    const seam = places(block.front, 'inseam');
    if (seam.length < 2) return undefined;
    const turn = signed(next, 6, 18);
    // Turned alike on both legs, so that nothing else is wrong.
    const bent = (piece: Piece): Piece => {
      const [first] = places(piece, 'inseam');
      return withCurves(piece, ({ curve }, i) => (i === first ? endTurned(curve, turn) : curve));
    };
    return {
      block: { ...block, front: bent(block.front), back: bent(block.back) },
      piece: 'FRONT',
      at: endOf(block.front.edges[seam[0]].curve),
    };
  }),
];

// --- faults of the cut pieces

function pieceFault(
  name: string,
  codes: readonly string[],
  ids: readonly string[],
  change: (
    piece: CutPiece,
    next: () => number,
    sound: Sound,
  ) => { readonly piece: CutPiece; readonly at?: Point; readonly withinMm?: number } | undefined,
): FaultKind {
  return {
    name,
    codes,
    plant(sound, next) {
      const { pieces } = sound.pattern;
      const id = pick(next, ids);
      const piece = pieceOf(pieces, id);
      const done = piece === undefined ? undefined : change(piece, next, sound);
      if (done === undefined) return undefined;
      const { at, withinMm } = done;
      const text = dxfOf(changed(pieces, id, () => done.piece));
      return {
        text,
        piece: id.toUpperCase(),
        ...(at === undefined ? {} : { at }),
        ...(withinMm === undefined ? {} : { withinMm }),
      };
    },
  };
}

const LEGS = ['front', 'back'];

function notchFault(
  name: string,
  codes: readonly string[],
  ids: readonly string[],
  which: (notch: CutNotch) => boolean,
  change: (
    notch: CutNotch,
    next: () => number,
    piece: CutPiece,
  ) => { readonly notches: readonly CutNotch[]; readonly at: Point },
): FaultKind {
  return pieceFault(name, codes, ids, (piece, next) => {
    const notch = piece.notches.filter(which)[0];
    if (notch === undefined) return undefined;
    const { notches, at } = change(notch, next, piece);
    return {
      piece: { ...piece, notches: piece.notches.flatMap((each) => (each === notch ? notches : [each])) },
      at,
      withinMm: 15,
    };
  });
}

function moved(notch: CutNotch, by: Point): CutNotch {
  return { ...notch, at: add(notch.at, by), foot: add(notch.foot, by) };
}

const isKnee = ({ name, seam }: CutNotch): boolean => name === 'knee' && seam === 'inseam';

const NOTCH_FAULTS: readonly FaultKind[] = [
  notchFault('notch drifted along its seam', ['NOTCH_OFF'], ['back'], isKnee, (notch, next) => {
    const drifted = moved(notch, scale(leftOf(notch.inwards), signed(next, 1.4, 8)));
    return { notches: [drifted], at: drifted.at };
  }),
  {
    name: 'notch missing on one leg',
    codes: ['NOTCH_WITHOUT_PARTNER'],
    plant({ pattern }, next) {
      const gone = pick(next, LEGS);
      const kept = gone === 'front' ? 'back' : 'front';
      const left = pieceOf(pattern.pieces, kept)?.notches.find(isKnee);
      if (left === undefined) return undefined;
      // What can be pointed at is the notch that is left without a partner.
      const pieces = changed(pattern.pieces, gone, (piece) => ({
        ...piece,
        notches: piece.notches.filter((notch) => !isKnee(notch)),
      }));
      return { text: dxfOf(pieces), piece: kept.toUpperCase(), at: left.at, withinMm: 1 };
    },
  },
  notchFault('notch too many', ['NOTCH_WITHOUT_PARTNER'], LEGS, isKnee, (notch, next, piece) => {
    const goal = add(notch.at, scale(leftOf(notch.inwards), signed(next, 60, 140)));
    const at = nearestOn(piece.cut, goal);
    const extra = moved(notch, way(notch.at, at));
    return { notches: [notch, extra], at };
  }),
  notchFault(
    'notch off the edge',
    ['NOTCH_OFF_EDGE'],
    LEGS,
    () => true,
    (notch, next) => {
      const off = moved(notch, scale(notch.inwards, signed(next, 0.8, 6)));
      return { notches: [off], at: off.at };
    },
  ),
  notchFault('notch into the seam', ['NOTCH_TOO_DEEP'], LEGS, isKnee, (notch, next) => ({
    notches: [{ ...notch, depthMm: distance(notch.at, notch.foot) + between(next, 0.2, 5) }],
    at: notch.at,
  })),
  notchFault('notch cut outwards', ['NOTCH_OUTWARDS'], LEGS, isKnee, (notch) => ({
    notches: [{ ...notch, inwards: opposite(notch.inwards) }],
    at: notch.at,
  })),
  notchFault('notch doubled', ['NOTCH_DOUBLED'], LEGS, isKnee, (notch, next) => ({
    notches: [notch, moved(notch, scale(leftOf(notch.inwards), between(next, 0, 0.8)))],
    at: notch.at,
  })),
];

function nearestOn(cut: readonly CutPoint[], p: Point): Point {
  let best = cut[0].at;
  for (const [i, { at }] of cut.entries()) {
    const next = cut[(i + 1) % cut.length].at;
    const side = way(at, next);
    const length = Math.max(1e-9, side.x * side.x + side.y * side.y);
    const t = Math.min(1, Math.max(0, ((p.x - at.x) * side.x + (p.y - at.y) * side.y) / length));
    const foot = lerp(at, next, t);
    if (distance(foot, p) < distance(best, p)) best = foot;
  }
  return best;
}

/** The cut line with points added every `stepMm` within `radiusMm` of a place, and those points moved by `move`. */
function reworked(
  cut: readonly CutPoint[],
  centre: Point,
  radiusMm: number,
  move: (p: Point) => Point,
): CutPoint[] {
  const dense = cut.flatMap((point, i): CutPoint[] => {
    const next = cut[(i + 1) % cut.length].at;
    const mm = distance(point.at, next);
    const count = Math.floor(mm / 4);
    const inner = Array.from({ length: Math.max(0, count - 1) }, (_, k) =>
      lerp(point.at, next, (k + 1) / count),
    ).filter((p) => distance(p, centre) < radiusMm + 6);
    return [point, ...inner.map((at): CutPoint => ({ at, kind: 'curve' }))];
  });
  return dense.map((point) =>
    distance(point.at, centre) < radiusMm ? { ...point, at: move(point.at) } : point,
  );
}

/** The middle of an allowance: a place on the cut line beside the knee notch. */
function kneeEdge(piece: CutPiece): CutNotch | undefined {
  return piece.notches.find(isKnee);
}

function allowanceFault(
  name: string,
  codes: readonly string[],
  leftMm: (widthMm: number, next: () => number) => number | undefined,
): FaultKind {
  return pieceFault(name, codes, LEGS, (piece, next) => {
    const notch = kneeEdge(piece);
    if (notch === undefined) return undefined;
    const widthMm = distance(notch.at, notch.foot);
    const left = leftMm(widthMm, next);
    if (left === undefined) return undefined;
    const radiusMm = between(next, 25, 60);
    const centre = nearestOn(piece.cut, add(notch.at, scale(leftOf(notch.inwards), signed(next, 90, 140))));
    const cut = reworked(piece.cut, centre, radiusMm, (p) => along(p, notch.inwards, widthMm - left));
    return { piece: { ...piece, cut }, at: centre, withinMm: radiusMm + 30 };
  });
}

const ALLOWANCE_FAULTS: readonly FaultKind[] = [
  allowanceFault('allowance too narrow', ['ALLOWANCE_NARROW'], (_, next) => between(next, 0.6, 3)),
  allowanceFault(
    'allowance jumps',
    ['ALLOWANCE_UNEVEN', 'ALLOWANCE_DIFFERS'],
    (widthMm, next) => widthMm - signed(next, 2.5, 5),
  ),
  allowanceFault(
    'seam outside of the cut line',
    ['SEW_OUTSIDE_CUT', 'OUTLINE_CROSSES'],
    (_, next) => -between(next, 1, 6),
  ),
  {
    name: 'allowances of two sewn edges differ',
    codes: ['ALLOWANCE_DIFFERS'],
    plant({ pattern, rules }, next) {
      const other = {
        ...rules,
        allowances: { ...rules.allowances, inseamMm: rules.allowances.inseamMm + between(next, 1.6, 8) },
      };
      const back = pieceOf(finishBlock(pattern.block, other, { warp: 0, weft: 0 }, TRUING).pieces, 'back');
      return back === undefined
        ? undefined
        : { text: dxfOf(changed(pattern.pieces, 'back', () => back)), piece: 'BACK' };
    },
  },
  pieceFault(
    'allowance gone at a corner',
    ['ALLOWANCE_CORNER', 'SEW_OUTSIDE_CUT'],
    ['front', 'back'],
    (piece, next) => {
      const rise = piece.runs.find(({ seam }) => seam === 'rise');
      if (rise === undefined) return undefined;
      const fork = endOf(rise.curves[rise.curves.length - 1]);
      const leave = between(next, 0.5, 3);
      // Everything of the cut line within 14 mm of the corner is drawn in to a circle of that radius.
      const cut = reworked(piece.cut, fork, 16, (p) =>
        distance(p, fork) < 1e-6 ? p : along(fork, direction(fork, p), Math.min(leave, distance(p, fork))),
      );
      return { piece: { ...piece, cut }, at: fork };
    },
  ),
];

const OUTLINE_FAULTS: readonly FaultKind[] = [
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

function longestSide({ cut }: CutPiece): number {
  return cut.reduce(
    (best, { at }, i) =>
      distance(at, cut[(i + 1) % cut.length].at) > distance(cut[best].at, cut[(best + 1) % cut.length].at)
        ? i
        : best,
    0,
  );
}

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

function shifted(curves: readonly Curve[], by: Point): Curve[] {
  return curves.map((curve) => mapCurve(curve, (p) => add(p, by)));
}

const MARK_FAULTS: readonly FaultKind[] = [
  pieceFault('grain off the crease', ['GRAIN_OFF_CREASE'], LEGS, ({ grain, ...piece }, next) => {
    const middle = lerp(grain[0], grain[1], 0.5);
    const turn = signed(next, 0.8, 12) * DEG;
    return {
      piece: { ...piece, grain: [turnAbout(grain[0], middle, turn), turnAbout(grain[1], middle, turn)] },
    };
  }),
  pieceFault(
    'grain outside of its piece',
    ['GRAIN_OUTSIDE'],
    ['fly-facing', 'fly-shield', 'waistband'],
    ({ grain, ...piece }, next) => {
      const by = { x: signed(next, 300, 600), y: 0 };
      return { piece: { ...piece, grain: [add(grain[0], by), add(grain[1], by)] } };
    },
  ),
  pieceFault('drill hole outside', ['DRILL_OUTSIDE'], LEGS, (piece, next) => {
    const [hole] = piece.drillHoles;
    if (hole === undefined) return undefined;
    const at = add(hole.at, { x: signed(next, 400, 700), y: 0 });
    return {
      piece: { ...piece, drillHoles: [{ ...hole, at }, ...piece.drillHoles.slice(1)] },
      at,
      withinMm: 1,
    };
  }),
  pieceFault('drill hole in the allowance', ['DRILL_IN_ALLOWANCE'], LEGS, (piece) => {
    const notch = kneeEdge(piece);
    if (notch === undefined) return undefined;
    const at = along(notch.at, notch.inwards, 0.5 * distance(notch.at, notch.foot));
    return {
      piece: { ...piece, drillHoles: [...piece.drillHoles, { name: 'stray', at, diameterMm: 2 }] },
      at,
      withinMm: 1,
    };
  }),
  pieceFault('inner line runs out', ['LINE_OUTSIDE'], LEGS, (piece, next) => {
    const knee = piece.lines.find(({ role }) => role === 'knee');
    if (knee === undefined) return undefined;
    const end = endOf(knee.curves[knee.curves.length - 1]);
    const outwards = endDirection(knee.curves[knee.curves.length - 1]);
    const out = line(end, along(end, outwards, between(next, 30, 60)));
    return {
      piece: {
        ...piece,
        lines: piece.lines.map((each) => (each === knee ? { ...each, curves: [...each.curves, out] } : each)),
      },
      at: endOf(out),
      withinMm: 5,
    };
  }),
  pieceFault('balance line off', ['BALANCE_LINE_OFF'], ['back'], (piece, next) => {
    if (!piece.lines.some(({ role }) => role === 'knee')) return undefined;
    const by = { x: 0, y: signed(next, 3, 12) };
    const lines = piece.lines.map((each) =>
      each.role === 'knee' ? { ...each, curves: shifted(each.curves, by) } : each,
    );
    return { piece: { ...piece, lines } };
  }),
  pieceFault('leg cut twice the same way', ['PAIR_NOT_MIRRORED'], LEGS, (piece) => ({
    piece: { ...piece, quantity: { asDrawn: 2, mirrored: 0 } },
  })),
  pieceFault(
    'quantity of nothing',
    ['QUANTITY_MISSING'],
    ['front', 'back', 'waistband', 'fly-facing'],
    (piece) => ({ piece: { ...piece, quantity: { asDrawn: 0, mirrored: 0 } } }),
  ),
];

function bandStretched({ pattern: { pieces } }: Sound, factor: number): Planted | undefined {
  if (pieceOf(pieces, 'waistband') === undefined) return undefined;
  const stretch = (p: Point): Point => ({ x: p.x, y: p.y * factor });
  const text = dxfOf(
    changed(pieces, 'waistband', (piece) => ({
      ...piece,
      cut: piece.cut.map((point) => ({ ...point, at: stretch(point.at) })),
      runs: piece.runs.map((run) => ({
        ...run,
        curves: run.curves.map((curve) => mapCurve(curve, stretch)),
      })),
      notches: piece.notches.map((notch) => ({ ...notch, at: stretch(notch.at), foot: stretch(notch.foot) })),
      lines: piece.lines.map((each) => ({
        ...each,
        curves: each.curves.map((curve) => mapCurve(curve, stretch)),
      })),
      grain: [stretch(piece.grain[0]), stretch(piece.grain[1])],
    })),
  );
  return { text };
}

const BAND_FAULTS: readonly FaultKind[] = [
  {
    name: 'band longer than the waist',
    codes: ['WAISTBAND_SHORTER'],
    plant: (sound, next) => bandStretched(sound, 1 + between(next, 0.004, 0.02)),
  },
  {
    name: 'band too short to ease in',
    codes: ['WAIST_SEAM_LONGER'],
    plant: (sound, next) => bandStretched(sound, 1 - between(next, 0.035, 0.06)),
  },
  pieceFault('band notch off', ['BAND_NOTCH_OFF'], ['waistband'], (piece, next) => {
    const inner = piece.notches.filter(({ name }) => name === 'side' || name === 'centre back');
    if (inner.length === 0) return undefined;
    const notch = pick(next, inner);
    // Up to 3 % of a quarter may be ease that is spread unevenly.
    const allowedMm = 1 + (0.03 * Math.max(...piece.cut.map(({ at }) => at.y))) / 4;
    const by = { x: 0, y: signed(next, allowedMm + 0.5, 24) };
    return {
      piece: { ...piece, notches: piece.notches.map((each) => (each === notch ? moved(each, by) : each)) },
      at: add(notch.at, by),
      withinMm: 15,
    };
  }),
];

// --- faults of the file

function textFault(
  name: string,
  codes: readonly string[],
  change: (text: string, next: () => number, sound: Sound) => Planted | string | undefined,
): FaultKind {
  return {
    name,
    codes,
    plant(sound, next) {
      const done = change(dxfOf(sound.pattern.pieces), next, sound);
      return typeof done === 'string' ? { text: done } : done;
    },
  };
}

/** The nth entity of a kind on a layer, by the row where it starts. */
function entityAt(
  rows: readonly string[],
  kind: string,
  layer: string,
  next: () => number,
): number | undefined {
  const all = rows.flatMap((row, i) =>
    row === kind && rows[i - 1] === '0' && rows[i + 2] === layer ? [i] : [],
  );
  return all.length === 0 ? undefined : pick(next, all);
}

function blockOfRow(rows: readonly string[], row: number): string {
  for (let i = row; i > 0; i--) if (rows[i] === 'BLOCK' && rows[i - 1] === '0') return rows[i + 4];
  return '';
}

const FILE_FAULTS: readonly FaultKind[] = [
  textFault('millimetres called inches', ['UNITS_DOUBTED'], (text) =>
    text.replace('Units:METRIC', 'Units:ENGLISH'),
  ),
  textFault('inches called millimetres', ['UNITS_DOUBTED'], (_, __, { pattern }) =>
    dxfOf(pattern.pieces, 'english').replace('Units:ENGLISH', 'Units:METRIC'),
  ),
  textFault('no unit', ['UNITS_MISSING'], (text, next) =>
    text.replace('Units:METRIC', pick(next, ['Units:', 'Unity:METRIC', 'Units:FURLONG'])),
  ),
  textFault('no grain', ['GRAIN_MISSING'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'LINE', '7', next);
    if (i === undefined) return undefined;
    const piece = blockOfRow(rows, i);
    rows.splice(i - 1, 12);
    return { text: rows.join('\r\n'), piece };
  }),
  textFault('quantity without sides', ['QUANTITY_MISSING'], (text, next) =>
    text.replace('Quantity:1,1', pick(next, ['Quantity:2', 'Quantity:', 'Quantity:a pair', 'Quantity:1;1'])),
  ),
  textFault('no piece name', ['PIECE_NAME_MISSING'], (text) =>
    text.replace('Piece Name:Fly facing', 'Piece Name:'),
  ),
  textFault('piece there twice', ['PIECE_DOUBLED'], (text) => {
    const rows = text.split('\r\n');
    const start = rows.findIndex((row, i) => row === 'BLOCK' && rows[i + 4] === 'FRONT') - 1;
    const end = rows.findIndex((row, i) => i > start && row === 'ENDBLK') + 3;
    const copy = rows.slice(start, end).map((row) => (row === 'FRONT' ? 'FRONT-COPY' : row));
    return [...rows.slice(0, end), ...copy, ...rows.slice(end)].join('\r\n');
  }),
  textFault('no back', ['LEGS_MISSING'], (_, next, { pattern }) => {
    const gone = pick(next, LEGS);
    return dxfOf(pattern.pieces.filter(({ id }) => id !== gone));
  }),
  textFault('validation curve of another version', ['VALIDATION_CURVE_OFF'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'POLYLINE', '84', next);
    if (i === undefined) return undefined;
    const by = signed(next, 1, 6);
    for (let k = i; rows[k] !== 'SEQEND'; k++)
      if (rows[k] === 'VERTEX') rows[k + 4] = (Number(rows[k + 4]) + by).toFixed(2);
    return { text: rows.join('\r\n'), piece: blockOfRow(rows, i) };
  }),
  textFault('turn point off its line', ['POINT_OFF_LINE'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'POINT', '2', next);
    if (i === undefined) return undefined;
    const at = {
      x: Number(rows[i + 4]) + signed(next, 0.5, 4),
      y: Number(rows[i + 6]) + signed(next, 0.5, 4),
    };
    rows[i + 4] = at.x.toFixed(2);
    rows[i + 6] = at.y.toFixed(2);
    return { text: rows.join('\r\n'), piece: blockOfRow(rows, i), at, withinMm: 1 };
  }),
  textFault('a word for a number', ['DXF_NOT_A_NUMBER'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'VERTEX', '1', next);
    if (i === undefined) return undefined;
    rows[i + 4] = pick(next, ['NaN', 'abc', '', '1e400', '1,5', '-']);
    return rows.join('\r\n');
  }),
  textFault('file cut off', ['DXF_CUT_OFF'], (text, next) =>
    text.slice(0, Math.floor(text.length * between(next, 0.5, 0.98))),
  ),
  textFault('line lost', ['DXF_BROKEN_GROUP', 'DXF_CUT_OFF'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'TEXT', '15', next);
    if (i === undefined) return undefined;
    rows.splice(i + 4, 1);
    return rows.join('\r\n');
  }),
  textFault('polyline without its end', ['DXF_NOT_CLOSED'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'SEQEND', '8', next) ?? entityAt(rows, 'SEQEND', '14', next);
    if (i === undefined) return undefined;
    rows.splice(i - 1, 4);
    return rows.join('\r\n');
  }),
  textFault('insert of a block that is not there', ['DXF_NO_BLOCK'], (text) => {
    const rows = text.split('\r\n');
    const i = rows.lastIndexOf('INSERT');
    rows[i + 4] = 'GONE';
    return rows.join('\r\n');
  }),
  textFault('mirror line beside the fold', ['MIRROR_LINE_OFF'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'LINE', '7', next);
    if (i === undefined) return undefined;
    rows[i + 2] = '6';
    return rows.join('\r\n');
  }),
  textFault('piece without width', ['PIECE_SLIVER'], (_, next, { pattern }) => {
    const shield = pieceOf(pattern.pieces, 'fly-shield');
    if (shield === undefined) return undefined;
    const squeeze = between(next, 0.005, 0.02);
    const cut = shield.cut.map(({ at, kind }): CutPoint => ({ at: { x: at.x * squeeze, y: at.y }, kind }));
    return {
      text: dxfOf([
        ...pattern.pieces,
        {
          ...shield,
          id: 'strip',
          name: 'Strip',
          cut,
          runs: [],
          darts: [],
          lines: [],
          notches: [],
          drillHoles: [],
          grain: [lerp(cut[0].at, cut[2].at, 0.4), lerp(cut[0].at, cut[2].at, 0.6)],
        },
      ]),
      piece: 'STRIP',
    };
  }),
  {
    name: 'right is not left mirrored',
    codes: ['MIRRORED_PAIR_DIFFERS'],
    plant({ pattern }, next) {
      const front = pieceOf(pattern.pieces, 'front');
      const notch = front === undefined ? undefined : kneeEdge(front);
      if (front === undefined || notch === undefined) return undefined;
      const by = signed(next, 1.2, 5);
      const bumped = { ...front, cut: reworked(front.cut, notch.at, 40, (p) => along(p, notch.inwards, by)) };
      const [left, right] = leftAndRight(front, bumped);
      return {
        text: dxfOf([left, right, ...pattern.pieces.filter(({ id }) => id !== 'front')]),
        piece: 'FRONT-RIGHT',
        at: { x: -notch.at.x, y: notch.at.y },
        withinMm: 70,
      };
    },
  },
];

/** Two pieces drawn apart: the second is mirrored. */
export function leftAndRight(left: CutPiece, right: CutPiece): [CutPiece, CutPiece] {
  const flip = ({ x, y }: Point): Point => ({ x: -x, y });
  return [
    { ...left, id: 'front-left', name: 'Front left', quantity: { asDrawn: 1, mirrored: 0 } },
    {
      ...right,
      id: 'front-right',
      name: 'Front right',
      quantity: { asDrawn: 1, mirrored: 0 },
      cut: right.cut.map((point) => ({ ...point, at: flip(point.at) })).reverse(),
      runs: [...right.runs].reverse().map((run) => ({
        ...run,
        curves: [...run.curves].reverse().map((curve) => turnedRound(mapCurve(curve, flip))),
      })),
      darts: right.darts.map((dart) =>
        [...dart].reverse().map((curve) => turnedRound(mapCurve(curve, flip))),
      ),
      notches: right.notches.map((notch) => ({
        ...notch,
        at: flip(notch.at),
        foot: flip(notch.foot),
        inwards: flip(notch.inwards),
      })),
      drillHoles: right.drillHoles.map((hole) => ({ ...hole, at: flip(hole.at) })),
      lines: right.lines.map((each) => ({
        ...each,
        curves: each.curves.map((curve) => mapCurve(curve, flip)),
      })),
      grain: [flip(right.grain[0]), flip(right.grain[1])],
    },
  ];
}

function turnedRound(curve: Curve): Curve {
  return curve.kind === 'line' ? line(curve.p1, curve.p0) : cubic(curve.p3, curve.p2, curve.p1, curve.p0);
}

/** What a step or a dent in a cut line does besides: to the fairness of the line and to its allowance. */
const DENTED = [
  'CURVE_UNFAIR',
  'ALLOWANCE_UNEVEN',
  'ALLOWANCE_DIFFERS',
  'ALLOWANCE_NARROW',
  'NOTCH_OFF_EDGE',
];

/** By the name of a kind. */
const FOLLOWS: Readonly<Record<string, readonly string[]>> = {
  // The end of a seam cannot be moved without turning the seam beside it.
  'inseam too long or short': ['CENTRE_BACK_WAIST_ANGLE', 'FORK_ANGLE'],
  // The allowances of front and back are led to one end, over whatever the corner is off.
  'side waist corner off': ['CURVE_UNFAIR'],
  // The cut line is drawn from the kinked seam, with a step of its own.
  'waist kinked over its dart': ['EDGE_SHORT'],
  // Bent, a seam changes its length and leaves the line that ended on it.
  'inseam kinked': ['INSEAM_MISMATCH', 'LINE_OUTSIDE'],
  'allowance too narrow': DENTED,
  'allowance jumps': DENTED,
  'seam outside of the cut line': [...DENTED, 'LINE_OUTSIDE'],
  'allowance gone at a corner': [...DENTED, 'EDGE_SHORT', 'OUTLINE_SLIVER'],
  spike: DENTED,
  'outline crosses itself': [...DENTED, 'OUTLINE_SLIVER'],
  'curve point out of line': DENTED,
  // A knee line that is carried on ends elsewhere, also along the seam.
  'inner line runs out': ['BALANCE_LINE_OFF'],
  'right is not left mirrored': DENTED,
  // What stood behind the fault in the file is not there, the unit with it.
  'file cut off': ['DXF_NOT_CLOSED', 'UNITS_MISSING'],
  'line lost': ['UNITS_MISSING'],
  // A vertex without its coordinate leaves its line a point short.
  'a word for a number': [
    ...DENTED,
    'POINT_OFF_LINE',
    'SEW_OUTSIDE_CUT',
    'GRAIN_OUTSIDE',
    'LINE_OUTSIDE',
    'ALLOWANCE_CORNER',
  ],
  // Without its turn point a slight corner is one of the points of a curve.
  'turn point off its line': ['CURVE_UNFAIR'],
  // The grain line was made the mirror line.
  'mirror line beside the fold': ['GRAIN_MISSING'],
  'piece without width': ['NO_SEW_LINE'],
};

/** Every kind of fault that is planted. */
export const FAULT_KINDS: readonly FaultKind[] = [
  ...SEAM_FAULTS,
  ...NOTCH_FAULTS,
  ...ALLOWANCE_FAULTS,
  ...OUTLINE_FAULTS,
  ...MARK_FAULTS,
  ...BAND_FAULTS,
  ...FILE_FAULTS,
  ...BAND_READING_FAULTS,
].map((kind) => {
  const follows = FOLLOWS[kind.name];
  return follows === undefined ? kind : { ...kind, follows };
});

export const SOUND_RULES: FinishRules = { ...FINISH_DEFAULTS, pockets: 'side-seam' };
