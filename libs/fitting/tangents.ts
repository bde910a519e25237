import type { EdgeRole } from '#pattern';
import { inverse } from './inverse.js';
import type { ReadyPiece, Strand } from './stations.js';

/** How far each edge was turned as a whole, in radians, front then back. */
export type WholeTurns = readonly [front: readonly number[], back: readonly number[]];

/** The turns of the two ends of each edge, in radians; those of a line that may not bend are its own. */
export type EndTurns = readonly (readonly (readonly [start: number, end: number])[])[];

/** From how far edges turned, how far their ends have to. */
export type TangentRule = (whole: WholeTurns) => EndTurns;

/** A flat end of the rise at the fork no longer than this keeps its angle to the inseam. */
const FLAT_END_MM = 60;

/** A curve flatter than this bends like one of this bend: a straight waist may take a little, and none takes nothing. */
const BEND_MIN = 0.15;

type End = readonly [piece: number, strand: number, end: 0 | 1];

/** Ends whose turns, each times its factor, come to those of whole edges. */
interface Tie {
  readonly ends: readonly (readonly [factor: number, end: End])[];
  readonly edges: readonly (readonly [factor: number, piece: number, strand: number])[];
}

/**
 * The rule by which the ends of all curves turn so that seams stay smooth and sewn corners true, with the least change
 * of character over the whole block.
 *
 * Turning the ends of a cubic by a and b against its chord changes length x curvature by -4a - 2b at its start and by
 * 2a + 4b at its end, to first order and with handles of a third; the sum of their squares over the square of each
 * curve's own bend is least, subject to: smooth joints stay smooth, the two corners at the fork and at the side waist
 * keep their sum, the centre waist its angle, and the waist runs on over each closed dart as it did. That is linear in
 * how far the edges turned, so the rule is one matrix, worked out once for a block.
 */
export function tangentRule(front: ReadyPiece, back: ReadyPiece): TangentRule {
  const pieces = [front, back];
  const ends = pieces.flatMap((piece, p) =>
    piece.strands.flatMap((strand, i) =>
      bendable(piece, i)
        ? (
            [
              [p, i, 0],
              [p, i, 1],
            ] as End[]
          ).map((end) => ({ end, strand }))
        : [],
    ),
  );
  const place = new Map(ends.map(({ end }, i) => [end.join(), i]));
  const ties = tiesOf(pieces)
    .map((tie) => withLinesAsEdges(tie, place))
    .filter((tie) => tie.ends.length > 0);
  const n = ends.length;
  const size = n + ties.length;
  const matrix = Array.from({ length: size }, () => new Float64Array(size));
  ends.forEach(({ end, strand }, i) => {
    const weight = 1 / Math.max(strand.bend, BEND_MIN) ** 2;
    const [startStart, startEnd, endEnd] = strand.pliancy.cost;
    matrix[i][i] = weight * (end[2] === 0 ? startStart : endEnd) + weight;
    matrix[i][end[2] === 0 ? i + 1 : i - 1] = weight * startEnd;
  });
  ties.forEach((tie, t) => {
    for (const [factor, end] of tie.ends) {
      const i = place.get(end.join()) ?? 0;
      matrix[n + t][i] += factor;
      matrix[i][n + t] += factor;
    }
  });
  const solved = inverse(matrix);
  return (whole) =>
    endTurns(pieces, whole, (missing) => {
      // Unknown is how far an end turns beyond its edge.
      const right = ties.map((tie) => missing(tie));
      return ends.map(({ end }, i) => ({
        end,
        beyond: right.reduce((sum, value, t) => sum + solved[i][n + t] * value, 0),
      }));
    });
}

type Missing = (tie: Tie) => number;

function endTurns(
  pieces: readonly ReadyPiece[],
  whole: WholeTurns,
  beyondOf: (missing: Missing) => { readonly end: End; readonly beyond: number }[],
): EndTurns {
  const turns = pieces.map((piece, p) =>
    piece.strands.map((_, i): [number, number] => [whole[p][i], whole[p][i]]),
  );
  const missing: Missing = (tie) =>
    tie.edges.reduce((sum, [factor, p, i]) => sum + factor * whole[p][i], 0) -
    tie.ends.reduce((sum, [factor, [p, i]]) => sum + factor * whole[p][i], 0);
  for (const { end, beyond } of beyondOf(missing)) turns[end[0]][end[1]][end[2]] += beyond;
  pieces.forEach((piece, p) => {
    if (!hasFlatEnd(piece)) return;
    const flat = last(piece, 'rise');
    const turn = turns[p][next(piece, flat)][0];
    turns[p][flat] = [turn, turn];
  });
  return turns;
}

/** Cubics bend, and a straight waist; every other line stays one. */
function bendable({ strands }: ReadyPiece, i: number): boolean {
  const { edge } = strands[i];
  return edge.role !== 'dart' && (edge.curve.kind === 'cubic' || edge.role === 'waist');
}

// The end of an edge that does not bend turns as its edge does.
function withLinesAsEdges({ ends, edges }: Tie, place: ReadonlyMap<string, number>): Tie {
  const bending = ends.filter(([, end]) => place.has(end.join()));
  const rigid = ends.filter(([, end]) => !place.has(end.join()));
  return { ends: bending, edges: [...edges, ...rigid.map(([factor, [p, i]]) => [-factor, p, i] as const)] };
}

function tiesOf(pieces: readonly ReadyPiece[]): Tie[] {
  return [
    ...pieces.flatMap((piece, p) => [
      ...smoothJoints(piece, p),
      ...overDarts(piece, p),
      centreWaist(piece, p),
    ]),
    ...atFork(pieces),
    {
      ends: pieces.flatMap((piece, p): Tie['ends'] => [
        [1, [p, first(piece, 'waist'), 0]],
        [-1, [p, last(piece, 'outseam'), 1]],
      ]),
      edges: [],
    },
  ];
}

function smoothJoints(piece: ReadyPiece, p: number): Tie[] {
  return piece.strands.flatMap(({ smooth, edge }, i) => {
    const before = hasFlatEnd(piece) && next(piece, i) === last(piece, 'rise');
    if (!smooth || before || edge.role === 'dart') return [];
    return [tied([p, i, 1], [p, next(piece, i), 0])];
  });
}

function centreWaist(piece: ReadyPiece, p: number): Tie {
  return tied([p, last(piece, 'waist'), 1], [p, first(piece, 'rise'), 0]);
}

function overDarts(piece: ReadyPiece, p: number): Tie[] {
  return piece.strands.flatMap(({ edge }, i): Tie[] => {
    const side = next(piece, i);
    const centre = next(piece, side);
    const on = next(piece, centre);
    const role = (k: number): EdgeRole => piece.strands[k].edge.role;
    if (edge.role !== 'waist' || role(side) !== 'dart' || role(centre) !== 'dart' || role(on) !== 'waist')
      return [];
    return [
      {
        ...tied([p, i, 1], [p, on, 0]),
        edges: [
          [1, p, side],
          [-1, p, centre],
        ],
      },
    ];
  });
}

// A short straight before the fork cannot bend; it is laid with its inseam, and the curve before it follows. The other
// piece then keeps its own corner.
function atFork(pieces: readonly ReadyPiece[]): Tie[] {
  const corner = (piece: ReadyPiece, p: number): Tie['ends'] => [
    [1, [p, last(piece, 'rise') - (hasFlatEnd(piece) ? 1 : 0), 1]],
    [-1, [p, first(piece, 'inseam'), 0]],
  ];
  const corners = pieces.map(corner);
  return pieces.some(hasFlatEnd)
    ? corners.map((ends) => ({ ends, edges: [] }))
    : [{ ends: corners.flat(), edges: [] }];
}

/** Whether the rise ends in a short straight after a curve that runs into it smoothly. */
export function hasFlatEnd(piece: ReadyPiece): boolean {
  const flat = piece.strands[last(piece, 'rise')];
  const before = piece.strands[last(piece, 'rise') - 1] as Strand | undefined;
  const isFlat = flat.edge.curve.kind === 'line' && flat.chordMm <= FLAT_END_MM;
  return isFlat && before?.edge.role === 'rise' && before.edge.curve.kind === 'cubic' && before.smooth;
}

function tied(a: End, b: End): Tie {
  return {
    ends: [
      [1, a],
      [-1, b],
    ],
    edges: [],
  };
}

export function first(piece: ReadyPiece, role: EdgeRole): number {
  return piece.strands.findIndex(({ edge }) => edge.role === role);
}

export function last(piece: ReadyPiece, role: EdgeRole): number {
  return piece.strands.findLastIndex(({ edge }) => edge.role === role);
}

export function next(piece: ReadyPiece, i: number): number {
  return (i + 1) % piece.strands.length;
}
