import {
  cubic,
  curveLength,
  distance,
  endOf,
  line,
  reversed,
  ringArea,
  startOf,
  type Curve,
  type Point,
} from '#geometry';
import type { Finding } from './finding.js';
import type { Edge, EdgeRole, Notch, Piece, PieceLine, PieceRole } from './piece.js';
import { inMm } from './wording.js';

/** An edge as it comes from outside: in either direction, from any start, named or not. */
export interface GivenEdge {
  readonly role: EdgeRole;
  readonly curve: Curve;
  readonly id?: string;
}

/** A notch as it comes from outside: `edge` counts the given edges from 0, `fromStartMm` runs in their direction. */
export interface GivenNotch {
  readonly edge: number;
  readonly fromStartMm: number;
  readonly kind: 'slit' | 'v';
  readonly name?: string;
}

export interface OutlineReading {
  readonly notches?: readonly GivenNotch[];
  readonly lines?: readonly PieceLine[];
  /** Ends of neighbours no further apart than this are made one point; a wider gap stays and is a finding. */
  readonly joinMm: number;
  /** Accuracy of the lengths that notches are turned round by. */
  readonly lengthToleranceMm: number;
}

/**
 * A piece in our order from edges in anybody's: clockwise, from the first rise edge, closed bit for bit.
 *
 * Shape   edges without an id are called after their role, `rise-1`, `rise-2`, in outline order. The start of an edge
 *         is moved to the end of the one before; no other point changes.
 * Edges   which way an outline runs is read from its area, so a mirrored piece comes out in the wrong order of roles
 *         and `checkBlock` says so. An outline without a rise keeps the start it was given.
 *         Findings: BLOCK_OUTLINE_OPEN for a gap wider than `joinMm`, BLOCK_NOTCH_EDGE and BLOCK_NOTCH_PAST_EDGE for
 *         a notch that cannot be set; such a notch is left out, never moved.
 */
export function canonicalPiece(
  role: PieceRole,
  edges: readonly GivenEdge[],
  reading: OutlineReading,
): { readonly piece: Piece; readonly findings: Finding[] } {
  const ordered = fromFirstRise(clockwise(edges));
  const ids = namesFor(ordered);
  const joined = joinedEnds(ordered, reading.joinMm);
  const named = joined.map(({ role: edgeRole, curve }, i): Edge => ({ id: ids[i], role: edgeRole, curve }));
  const notches = (reading.notches ?? []).map((notch, index) =>
    setNotch(role, notch, index, ordered, ids, reading.lengthToleranceMm),
  );
  return {
    piece: {
      role,
      edges: named,
      lines: reading.lines ?? [],
      notches: notches.flatMap((set) => ('notch' in set ? [set.notch] : [])),
    },
    findings: [
      ...openEnds(role, named, reading.joinMm),
      ...notches.flatMap((set) => ('finding' in set ? [set.finding] : [])),
    ],
  };
}

/** A given edge on its way: which one it was, and whether it has been turned round. */
interface Placed extends GivenEdge {
  readonly index: number;
  readonly turned: boolean;
}

function clockwise(edges: readonly GivenEdge[]): Placed[] {
  const placed = edges.map((edge, index) => ({ ...edge, index, turned: false }));
  if (ringArea(edges.map((edge) => edge.curve)) <= 0) return placed;
  return placed.reverse().map((edge) => ({ ...edge, curve: reversed(edge.curve), turned: true }));
}

function fromFirstRise(edges: readonly Placed[]): Placed[] {
  const first = edges.findIndex(
    (edge, i) => edge.role === 'rise' && edges[(i + edges.length - 1) % edges.length].role !== 'rise',
  );
  return first < 0 ? [...edges] : [...edges.slice(first), ...edges.slice(0, first)];
}

function namesFor(edges: readonly GivenEdge[]): string[] {
  const taken = new Set(edges.flatMap((edge) => (edge.id === undefined ? [] : [edge.id])));
  const counts = new Map<EdgeRole, number>();
  return edges.map(({ id, role }) => {
    if (id !== undefined) return id;
    let count = counts.get(role) ?? 0;
    do count += 1;
    while (taken.has(`${role}-${count}`));
    counts.set(role, count);
    return `${role}-${count}`;
  });
}

function joinedEnds<E extends GivenEdge>(edges: readonly E[], joinMm: number): E[] {
  return edges.map((edge, i) => {
    const before = endOf(edges[(i + edges.length - 1) % edges.length].curve);
    const gapMm = distance(before, startOf(edge.curve));
    return gapMm === 0 || gapMm > joinMm ? edge : { ...edge, curve: startingAt(edge.curve, before) };
  });
}

function startingAt(curve: Curve, start: Point): Curve {
  return curve.kind === 'line' ? line(start, curve.p1) : cubic(start, curve.p1, curve.p2, curve.p3);
}

function openEnds(role: PieceRole, edges: readonly Edge[], joinMm: number): Finding[] {
  return edges.flatMap((edge, i) => {
    const at = endOf(edge.curve);
    const gapMm = distance(at, startOf(edges[(i + 1) % edges.length].curve));
    if (gapMm === 0) return [];
    return [
      {
        code: 'BLOCK_OUTLINE_OPEN',
        level: 'stop',
        message: `The outline of the ${role} is open by ${gapMm.toFixed(3)} mm after edge ${edge.id}.`,
        action: `Let every edge start within ${joinMm} mm of where the one before it ends.`,
        place: { piece: role, part: edge.id, at },
        numbers: { gapMm },
      },
    ];
  });
}

function setNotch(
  role: PieceRole,
  given: GivenNotch,
  index: number,
  edges: readonly Placed[],
  ids: readonly string[],
  lengthToleranceMm: number,
): { readonly notch: Notch } | { readonly finding: Finding } {
  const position = edges.findIndex((edge) => edge.index === given.edge);
  if (position < 0) return { finding: noSuchEdge(role, given, index, edges.length) };
  const { curve, turned } = edges[position];
  const lengthMm = curveLength(curve, lengthToleranceMm);
  if (!(given.fromStartMm >= 0 && given.fromStartMm <= lengthMm + lengthToleranceMm)) {
    return { finding: pastEdge(role, given, index, ids[position], lengthMm) };
  }
  const fromStartMm = turned ? Math.max(0, lengthMm - given.fromStartMm) : given.fromStartMm;
  const { kind, name } = given;
  return { notch: { edgeId: ids[position], fromStartMm, kind, ...(name === undefined ? {} : { name }) } };
}

function noSuchEdge(role: PieceRole, given: GivenNotch, index: number, edgeCount: number): Finding {
  return {
    code: 'BLOCK_NOTCH_EDGE',
    level: 'stop',
    message: `Notch ${index} of the ${role} is set on edge ${given.edge}; the piece has ${edgeCount} edges.`,
    action: `Name the edge of a notch by its place in the list, 0 to ${edgeCount - 1}.`,
    place: { piece: role },
    numbers: { notch: index, edge: given.edge, edgeCount },
  };
}

function pastEdge(
  role: PieceRole,
  given: GivenNotch,
  index: number,
  edgeId: string,
  lengthMm: number,
): Finding {
  return {
    code: 'BLOCK_NOTCH_PAST_EDGE',
    level: 'stop',
    message: `Notch ${index} of the ${role} is set ${inMm(given.fromStartMm)} along edge ${edgeId}, which is ${inMm(lengthMm)} long.`,
    action: 'Set the notch within its edge, measured from the start of the edge.',
    place: { piece: role, part: edgeId },
    numbers: { notch: index, fromStartMm: given.fromStartMm, lengthMm },
  };
}
