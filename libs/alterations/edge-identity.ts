import {
  add,
  cubic,
  distance,
  endOf,
  quadratureLength,
  startOf,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { PatternError, type Edge, type EdgeRole, type Piece } from '#pattern';
import { SHORTEST_EDGE_MM, withEnd, withStart } from './run.js';

/** Id of an edge that waits for one: `settleIds` numbers it when the piece is whole again. */
const PENDING = '';

/**
 * An edge that takes the place of `parts`.
 *
 * One old edge, whole or in part: it was bent or shortened and keeps its id. Several: they were joined, the new
 * edge waits for an id of its own and names them.
 */
export function edgeInPlaceOf(role: EdgeRole, curve: Curve, parts: readonly Edge[]): Edge {
  const ids = [...new Set(parts.flatMap((part) => (part.id === PENDING ? (part.from ?? []) : [part.id])))];
  return ids.length === 1 ? { ...parts[0], role, curve } : { id: PENDING, role, curve, from: ids };
}

/** A copy of another piece's edge: a new edge that names its original as `piece/id`. */
export function copiedEdge(edge: Edge, from: Piece): Edge {
  return { id: PENDING, role: edge.role, curve: edge.curve, from: [`${from.role}/${edge.id}`] };
}

/** An edge added to the end of a seam that carries on: new, and named after the edge it continues. */
export function edgeBeyond(edge: Edge, curve: Curve): Edge {
  return { id: PENDING, role: edge.role, curve, from: [edge.id] };
}

/**
 * Give every edge of a piece an id of its own.
 *
 * An edge keeps its id while it is the only one that carries it. Parts of one cut edge, and edges that wait for an
 * id, are numbered `role-n` with the lowest number free in `before` and in `piece`.
 */
export function settleIds(before: Piece, piece: Piece): Piece {
  const count = new Map<string, number>();
  for (const { id } of piece.edges) count.set(id, (count.get(id) ?? 0) + 1);
  const taken = new Set([...before.edges, ...piece.edges].map((edge) => edge.id));
  const edges = piece.edges.map((edge) => {
    if (edge.id !== PENDING && count.get(edge.id) === 1) return edge;
    const id = freeId(edge.role, taken);
    taken.add(id);
    return edge.id === PENDING ? { ...edge, id } : { ...edge, id, from: [edge.id] };
  });
  return { ...piece, edges };
}

/**
 * Close the outline bit for bit: each edge starts at the very end of the one before.
 *
 * Errors  PatternError OUTLINE_OPEN when a gap is more than rounding: an operation then left a neighbour behind.
 */
export function closedUp(piece: Piece): Piece {
  const edges = piece.edges.map((edge, i) => {
    const end = endOf(piece.edges[(i + piece.edges.length - 1) % piece.edges.length].curve);
    const gapMm = distance(end, startOf(edge.curve));
    if (gapMm > ROUNDING_GAP_MM)
      throw new PatternError('OUTLINE_OPEN', { piece: piece.role, id: edge.id, gapMm });
    return { ...edge, curve: withStart(edge.curve, end) };
  });
  return { ...piece, edges };
}

/** Sums of coordinates of a few metres round at 1e-12 mm; a millionth of a millimetre is a lost neighbour. */
const ROUNDING_GAP_MM = 1e-6;

function freeId(role: EdgeRole, taken: ReadonlySet<string>): string {
  for (let n = 1; ; n++) {
    const id = `${role}-${n}`;
    if (!taken.has(id)) return id;
  }
}

/**
 * The piece without edges shorter than `SHORTEST_EDGE_MM`: each is joined to its neighbour of the same role, or
 * where there is none left out and the edge after it starts where it started. No point moves further than that.
 */
export function withoutShortEdges(piece: Piece): Piece {
  const edges = [...piece.edges];
  for (let i = 0; i < edges.length; i++) {
    if (quadratureLength(edges[i].curve) >= SHORTEST_EDGE_MM) continue;
    const before = edges[i - 1] as Edge | undefined;
    if (before?.role === edges[i].role) {
      const joined = edgeInPlaceOf(before.role, endMovedTo(before.curve, endOf(edges[i].curve)), [
        before,
        edges[i],
      ]);
      edges.splice(i - 1, 2, joined);
      i -= 2;
    } else if (i + 1 < edges.length) {
      const after = edges[i + 1];
      const parts = after.role === edges[i].role ? [edges[i], after] : [after];
      edges.splice(
        i,
        2,
        edgeInPlaceOf(after.role, startMovedTo(after.curve, startOf(edges[i].curve)), parts),
      );
      i -= 1;
    }
  }
  return { ...piece, edges };
}

function endMovedTo(curve: Curve, end: Point): Curve {
  if (curve.kind === 'line') return withEnd(curve, end);
  return cubic(curve.p0, curve.p1, add(curve.p2, way(curve.p3, end)), end);
}

function startMovedTo(curve: Curve, start: Point): Curve {
  if (curve.kind === 'line') return withStart(curve, start);
  return cubic(start, add(curve.p1, way(curve.p0, start)), curve.p2, curve.p3);
}
