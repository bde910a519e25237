import type { Curve, Point } from '#geometry';
import { landmarksOf, type Landmarks, type Levels, type Piece } from '#pattern';

/** A point as it is written: [x, y] in mm. */
export type WrittenPoint = readonly [x: number, y: number];

export type WrittenEdge = {
  readonly role: string;
  readonly id: string;
  readonly from?: readonly string[];
} & ({ readonly cubic: readonly WrittenPoint[] } | { readonly line: readonly WrittenPoint[] });

export interface WrittenPiece {
  readonly role: string;
  readonly edges: readonly WrittenEdge[];
  readonly landmarks: Readonly<Record<keyof Landmarks, WrittenPoint>>;
  readonly lines: readonly unknown[];
  readonly notches: readonly {
    readonly edge: number;
    readonly fromStart: number;
    readonly kind: string;
    readonly name?: string;
  }[];
}

/** A piece in the form of a Block JSON, with its landmarks beside it, so that a draft can be sent back as a block. */
export function writtenPiece(piece: Piece, levels: Levels): WrittenPiece {
  const landmarks = landmarksOf(piece, levels);
  return {
    role: piece.role,
    edges: piece.edges.map(({ role, id, from, curve }) => ({
      role,
      id,
      ...(from === undefined ? {} : { from }),
      ...writtenCurve(curve),
    })),
    landmarks: mapValues(landmarks, writtenPoint),
    lines: piece.lines.flatMap(({ role, curves }) => curves.map((curve) => writtenLine(role, curve))),
    notches: piece.notches.map(({ edgeId, fromStartMm, kind, name }) => ({
      edge: piece.edges.findIndex((edge) => edge.id === edgeId),
      fromStart: fromStartMm,
      kind,
      ...(name === undefined ? {} : { name }),
    })),
  };
}

function writtenCurve(
  curve: Curve,
): { readonly line: readonly WrittenPoint[] } | { readonly cubic: readonly WrittenPoint[] } {
  return curve.kind === 'line'
    ? { line: [curve.p0, curve.p1].map(writtenPoint) }
    : { cubic: [curve.p0, curve.p1, curve.p2, curve.p3].map(writtenPoint) };
}

function writtenLine(role: string, curve: Curve): unknown {
  return curve.kind === 'line'
    ? { role, points: [curve.p0, curve.p1].map(writtenPoint) }
    : { role, cubic: [curve.p0, curve.p1, curve.p2, curve.p3].map(writtenPoint) };
}

export function writtenPoint(p: Point): WrittenPoint {
  return [p.x, p.y];
}

function mapValues<K extends string, V, W>(
  record: Readonly<Record<K, V>> | object,
  change: (value: V) => W,
): Record<K, W> {
  return Object.fromEntries(
    Object.entries(record).map(([key, value]) => [key, change(value as V)]),
  ) as Record<K, W>;
}
