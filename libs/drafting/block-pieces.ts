import {
  crossingsWithLine,
  distance,
  endOf,
  line,
  pointAt,
  splitCurve,
  startOf,
  turnCurve,
  type Curve,
} from '#geometry';
import type { Edge, EdgeRole } from '#pattern';
import type { DartShape } from './closed-waist.js';
import type { PieceShape } from './shape.js';

/** Where a dart's closed ray cuts the closed waist. */
export interface DartCut {
  readonly dart: DartShape;
  /** Parameter on the closed waist, which runs from side to centre. */
  readonly t: number;
  readonly legMm: number;
  readonly intakeMm: number;
}

/** The cuts of all darts, from centre to side; undefined when a ray misses the waist. */
export function dartCuts(piece: PieceShape): DartCut[] | undefined {
  const cuts: DartCut[] = [];
  for (const dart of piece.darts) {
    const t = crossingsWithLine(piece.closedWaist, dart.closedApex, dart.ray).find((candidate) => {
      const p = pointAt(piece.closedWaist, candidate);
      return (p.x - dart.closedApex.x) * dart.ray.x + (p.y - dart.closedApex.y) * dart.ray.y > 0;
    });
    if (t === undefined) return undefined;
    const legMm = distance(pointAt(piece.closedWaist, t), dart.closedApex);
    cuts.push({ dart, t, legMm, intakeMm: 2 * legMm * Math.sin(dart.angleRad / 2) });
  }
  return cuts;
}

/** The outline of a solved piece as edges, in outline order from the rise, darts open. */
export function edgesOfShape(piece: PieceShape, cuts: readonly DartCut[]): Edge[] {
  const forkStraight = distance(piece.forkStraight.p0, piece.forkStraight.p1) > 0 ? [piece.forkStraight] : [];
  const runs: readonly (readonly [EdgeRole, readonly Curve[]])[] = [
    ['rise', [piece.riseStraight, piece.crotch, ...forkStraight]],
    ['inseam', [piece.inseamUpper, piece.inseamLower]],
    ['hem', [piece.hem]],
    ['outseam', [piece.outseamLower, piece.outseamMiddle, piece.outseamUpper]],
  ];
  const named = runs.flatMap(([role, curves]) =>
    curves.map((curve, i): Edge => ({ id: `${role}-${i + 1}`, role, curve })),
  );
  return [...named, ...waistEdges(piece, cuts)];
}

// Cut the closed waist on the dart rays and open the darts again: what lies on the side of a dart turns back
// about its apex, for the dart furthest from the centre first.
function waistEdges(piece: PieceShape, cuts: readonly DartCut[]): Edge[] {
  const edges: Edge[] = [];
  let rest: Curve = piece.closedWaist;
  let restFrom = 0;
  for (let i = cuts.length - 1; i >= 0; i--) {
    const [head, tail]: [Curve, Curve] = splitCurve(rest, (cuts[i].t - restFrom) / (1 - restFrom));
    const opened = openCurve(head, cuts.slice(0, i + 1));
    const centreSide = startOf(openCurve(tail, cuts.slice(0, i)));
    const { apex } = cuts[i].dart;
    edges.push({ id: `waist-${cuts.length - i}`, role: 'waist', curve: opened });
    edges.push({ id: `dart-${cuts.length - i}-side`, role: 'dart', curve: line(endOf(opened), apex) });
    edges.push({ id: `dart-${cuts.length - i}-centre`, role: 'dart', curve: line(apex, centreSide) });
    rest = tail;
    restFrom = cuts[i].t;
  }
  edges.push({ id: `waist-${cuts.length + 1}`, role: 'waist', curve: rest });
  return joined(edges);
}

function openCurve(curve: Curve, closed: readonly DartCut[]): Curve {
  return closed.reduceRight((turned, { dart }) => turnCurve(turned, dart.closedApex, dart.angleRad), curve);
}

// Turning forth and back leaves the last bits of a coordinate unequal; each edge takes its start from the one before.
function joined(edges: readonly Edge[]): Edge[] {
  return edges.map((edge, i) => {
    if (i === 0) return edge;
    const start = endOf(edges[i - 1].curve);
    return { ...edge, curve: { ...edge.curve, p0: start } };
  });
}
