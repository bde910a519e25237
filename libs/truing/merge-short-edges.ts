import { curveLength, endOf, startOf, way } from '#geometry';
import { type Edge, type Notch, type Piece } from '#pattern';
import { withEndMoved, withStartMoved } from './bend-curve.js';

export interface Merged {
  readonly piece: Piece;
  /** The edges that were merged away, by their old ids. */
  readonly gone: readonly { readonly edge: Edge; readonly lengthMm: number }[];
}

/**
 * Every edge shorter than `shortMm` merged into its neighbour in the same seam: the neighbour's end, and the handle
 * there, move over the gap.
 *
 * An edge a few hundredths long says nothing about the direction of its seam, and no cutter can follow it.
 *
 * Edges   a short edge that is the whole of its seam stays. The merged edge has a new id and names both it was made of.
 *         A notch on the short edge goes to the point where the two met.
 */
export function mergeShortEdges(piece: Piece, shortMm: number, toleranceMm: number): Merged {
  let merged = piece;
  const gone: { edge: Edge; lengthMm: number }[] = [];
  for (const edge of piece.edges) {
    const lengthMm = curveLength(edge.curve, toleranceMm);
    if (edge.role === 'dart' || lengthMm >= shortMm) continue;
    const next = mergedInto(merged, edge, lengthMm, toleranceMm);
    if (next === undefined) continue;
    merged = next;
    gone.push({ edge, lengthMm });
  }
  return { piece: merged, gone };
}

function mergedInto(piece: Piece, short: Edge, lengthMm: number, toleranceMm: number): Piece | undefined {
  const index = piece.edges.findIndex((edge) => edge.id === short.id);
  const [before, after] = [piece.edges[index - 1], piece.edges[index + 1]];
  if (before?.role === short.role) {
    const curve = withEndMoved(before.curve, way(startOf(short.curve), endOf(short.curve)));
    const joint = curveLength(before.curve, toleranceMm);
    return joined(piece, [before, short], joinedEdge(before, [before, short], curve), (notch) => ({
      ...notch,
      fromStartMm: notch.edgeId === short.id ? joint : notch.fromStartMm,
    }));
  }
  if (after?.role === short.role) {
    const curve = withStartMoved(after.curve, way(endOf(short.curve), startOf(short.curve)));
    return joined(piece, [short, after], joinedEdge(after, [short, after], curve), (notch) => ({
      ...notch,
      fromStartMm: notch.edgeId === short.id ? 0 : notch.fromStartMm + lengthMm,
    }));
  }
  return undefined;
}

function joinedEdge(kept: Edge, both: readonly Edge[], curve: Edge['curve']): Edge {
  const from = both.map((edge) => edge.id);
  return { id: from.join('+'), role: kept.role, curve, from };
}

function joined(piece: Piece, both: readonly Edge[], edge: Edge, reset: (notch: Notch) => Notch): Piece {
  const first = piece.edges.indexOf(both[0]);
  const edges = piece.edges.toSpliced(first, 2, edge);
  const ids = both.map((old) => old.id);
  const notches = piece.notches.map((notch) =>
    ids.includes(notch.edgeId) ? { ...reset(notch), edgeId: edge.id } : notch,
  );
  return { ...piece, edges, notches };
}
