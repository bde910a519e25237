import {
  add,
  cubic,
  distance,
  endDirection,
  lerp,
  mapCurve,
  nearestParameter,
  pointAt,
  quadratureLength,
  reversed,
  scale,
  splitCurve,
  startDirection,
  type Curve,
  type Point,
} from '#geometry';
import type { Block, EdgeRole, Piece } from '#pattern';

/** Where the length of one leg's seam is made wrong: at the top of the seam, or at the hem. */
export interface Mismatch {
  readonly seam: 'inseam' | 'outseam';
  readonly piece: 'front' | 'back';
  readonly at: 'top' | 'hem';
  /** How much longer the seam of that piece gets; negative: shorter. */
  readonly byMm: number;
}

/**
 * The block with an end of the seam moved along it until the seam, measured by chords, differs by what is wanted; it is
 * bent no further than to the next of the marks.
 */
export function blockWithMismatch(
  block: Block,
  { seam, piece: role, at, byMm }: Mismatch,
  marks: readonly Point[] = [],
): Block {
  const piece = marks.reduce((so, mark) => splitAt(so, seam, mark), block[role]);
  const joint = jointOf(piece, seam, at);
  const before = chordsMm(piece, seam);
  const { direction } = joint;
  const lengthened = (mm: number): Piece => jointMoved(piece, joint.index, scale(direction, mm));
  let [low, high] = [-2 * Math.abs(byMm), 2 * Math.abs(byMm)];
  for (let step = 0; step < 40; step++) {
    const middle = (low + high) / 2;
    if (chordsMm(lengthened(middle), seam) - before < byMm) low = middle;
    else high = middle;
  }
  const planted = { ...block, [role]: lengthened(high) };
  if (Math.abs(chordsMm(planted[role], seam) - before - byMm) > 1e-3) throw new Error('not planted');
  return planted;
}

/** The length of a seam as the sum of very many chords: another way than the product's. */
function chordsMm(piece: Piece, role: EdgeRole): number {
  return piece.edges
    .filter((edge) => edge.role === role)
    .reduce((sum, { curve }) => {
      const points = Array.from({ length: 401 }, (_, i) => pointAt(curve, i / 400));
      return points.reduce((mm, p, i) => (i === 0 ? mm : mm + distance(points[i - 1], p)), sum);
    }, 0);
}

/** The seam with a joint where a mark lies on it. */
function splitAt({ edges, ...piece }: Piece, role: EdgeRole, mark: Point): Piece {
  const feet = edges
    .filter((edge) => edge.role === role)
    .map((edge) => ({ edge, t: nearestParameter(edge.curve, mark) }));
  const apart = ({ edge, t }: (typeof feet)[number]): number => distance(pointAt(edge.curve, t), mark);
  const { edge, t } = feet.reduce((best, foot) => (apart(foot) < apart(best) ? foot : best));
  const [head, tail] = splitCurve(edge.curve, t);
  if (Math.min(quadratureLength(head), quadratureLength(tail)) < 0.1) return { ...piece, edges };
  const halves = [
    { ...edge, curve: head },
    { ...edge, id: `${edge.id}, past ${mark.y.toFixed(1)}`, curve: tail },
  ];
  return { ...piece, edges: edges.flatMap((each) => (each === edge ? halves : [each])) };
}

/** The joint at an end of a seam: after which edge, and which way makes the seam longer. */
function jointOf(
  { edges }: Piece,
  seam: Mismatch['seam'],
  at: Mismatch['at'],
): { readonly index: number; readonly direction: Point } {
  const first = edges.findIndex(({ role }) => role === seam);
  const last = edges.findLastIndex(({ role }) => role === seam);
  // Clockwise, the outseam starts at the hem and the inseam ends there.
  return (seam === 'outseam') === (at === 'hem')
    ? {
        index: (first + edges.length - 1) % edges.length,
        direction: scale(startDirection(edges[first].curve), -1),
      }
    : { index: last, direction: endDirection(edges[last].curve) };
}

/**
 * The joint at the end of an edge moved; the directions of both edges at their two ends stay, and an edge too short to
 * bend goes along as a whole.
 */
function jointMoved({ edges, ...piece }: Piece, index: number, by: Point): Piece {
  const moved = edges.map(({ curve }) => curve);
  for (const step of [-1, 1]) {
    let i = step < 0 ? index : (index + 1) % edges.length;
    while (quadratureLength(moved[i]) < SHORT_MM) {
      moved[i] = mapCurve(moved[i], (p) => add(p, by));
      i = (i + step + edges.length) % edges.length;
    }
    moved[i] = step < 0 ? withEnd(moved[i], by) : reversed(withEnd(reversed(moved[i]), by));
  }
  return { ...piece, edges: edges.map((edge, i) => ({ ...edge, curve: moved[i] })) };
}

const SHORT_MM = 10;

function withEnd(curve: Curve, by: Point): Curve {
  const { p0, p1, p2, p3 } =
    curve.kind === 'cubic'
      ? curve
      : cubic(curve.p0, lerp(curve.p0, curve.p1, 1 / 3), lerp(curve.p0, curve.p1, 2 / 3), curve.p1);
  return cubic(p0, p1, add(p2, by), add(p3, by));
}
