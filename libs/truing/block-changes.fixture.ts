import { add, at, cubic, distance, turnAbout, type Curve, type Point } from '#geometry';
import { edgeById, withEdge, type Block, type Edge, type Piece, type PieceRole } from '#pattern';
import type { CornerName, SeamName, TruingReport } from './index.js';

/** Changes to a sound block that tests make to see them found, and what they read from a report. */

export function withCurve(block: Block, role: PieceRole, id: string, change: (curve: Curve) => Curve): Block {
  const edge = edgeById(block[role], id);
  return { ...block, [role]: withEdge(block[role], id, [{ ...edge, curve: change(edge.curve) }]) };
}

export function withHandles(curve: Curve, first: Point, second: Point): Curve {
  const { p0, p1, p2, p3 } = handled(curve);
  return cubic(p0, add(p1, first), add(p2, second), p3);
}

export function withStart(curve: Curve, start: Point): Curve {
  return { ...curve, p0: start };
}

export function handleTurned(curve: Curve, end: 'start' | 'end', angleRad: number): Curve {
  const { p0, p1, p2, p3 } = handled(curve);
  return end === 'end'
    ? cubic(p0, p1, turnAbout(p2, p3, angleRad), p3)
    : cubic(p0, turnAbout(p1, p0, angleRad), p2, p3);
}

/** The four points of a curve; those of a line at its thirds. */
export function handled(curve: Curve): {
  readonly p0: Point;
  readonly p1: Point;
  readonly p2: Point;
  readonly p3: Point;
} {
  if (curve.kind === 'cubic') return curve;
  const step = scaled(curve.p0, curve.p1, distance(curve.p0, curve.p1) / 3);
  return { p0: curve.p0, p1: add(curve.p0, step), p2: add(curve.p0, add(step, step)), p3: curve.p1 };
}

/** The way from one point towards another, `mm` long. */
export function scaled(from: Point, to: Point, mm: number): Point {
  const length = distance(from, to);
  return at(((to.x - from.x) * mm) / length, ((to.y - from.y) * mm) / length);
}

/**
 * Every joint and handle of a piece moved by some of the moves in `by`, counted on from `from`; the outline stays
 * closed, and hem points stay on their level.
 */
export function shaken(piece: Piece, by: readonly Point[], from: number): Piece {
  const count = piece.edges.length;
  const move = (i: number): Point => by[(from + i) % by.length];
  const joint = (i: number): Point => {
    const meeting = [piece.edges[(i + count - 1) % count], piece.edges[i % count]];
    const { x, y } = move(i % count);
    return meeting.some(({ role }) => role === 'hem') ? at(x, 0) : at(x, y);
  };
  const edges = piece.edges.map(({ curve, ...edge }, i): Edge => {
    const [start, end] = [joint(i), joint(i + 1)];
    if (curve.kind === 'line')
      return { ...edge, curve: { ...curve, p0: add(curve.p0, start), p1: add(curve.p1, end) } };
    const [first, second] = [add(curve.p1, move(i + 11)), add(curve.p2, move(i + 23))];
    return { ...edge, curve: cubic(add(curve.p0, start), first, second, add(curve.p3, end)) };
  });
  return { ...piece, edges };
}

export function seamOf(report: TruingReport, seam: SeamName): TruingReport['seams'][number] {
  return found(report.seams.find((check) => check.seam === seam));
}

export function cornerOf(report: TruingReport, corner: CornerName): TruingReport['corners'][number] {
  return found(report.corners.find((check) => check.at === corner));
}

export function codesOf(report: TruingReport): string[] {
  return report.findings.map(({ code }) => code);
}

function found<T>(check: T | undefined): T {
  if (check === undefined) throw new Error('the report lacks a check');
  return check;
}
