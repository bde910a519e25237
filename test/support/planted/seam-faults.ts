import { type CutPiece, finishBlock } from '#finishing';
import {
  add,
  cubic,
  type CubicBezier,
  type Curve,
  DEG,
  direction,
  endOf,
  lerp,
  line,
  type Point,
  scale,
  startOf,
  turnAbout,
} from '#geometry';
import type { Block, Edge, EdgeRole, Piece } from '#pattern';
import { dxfOf } from '../dxf-of.js';
import { blockWithMismatch } from '../mismatched-block.js';
import { type FaultKind, signed, type Sound, TRUING } from './fault.js';

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

/** Faults of the seam lines, planted in the block and finished as it stands. */
export const SEAM_FAULTS: readonly FaultKind[] = [
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
