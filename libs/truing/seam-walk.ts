import { curveLength, parameterAtLength, pointAt, TOLERANCE_MM_MIN, type Point } from '#geometry';
import { edgesOf, PatternError, type Edge, type Piece } from '#pattern';

/** One long seam of one piece, ready to be walked from the hem up. */
export interface SeamWalk {
  readonly role: 'inseam' | 'outseam';
  readonly edges: readonly Edge[];
  readonly lengthsMm: readonly number[];
  readonly totalMm: number;
}

/** Throws PatternError SEAM_MISSING when the piece has no such seam. */
export function walkSeam(piece: Piece, role: 'inseam' | 'outseam', toleranceMm: number): SeamWalk {
  const edges = edgesOf(piece, role);
  if (edges.length === 0) throw new PatternError('SEAM_MISSING', { piece: piece.role, role });
  const lengthsMm = edges.map((edge) =>
    curveLength(edge.curve, Math.max(toleranceMm / edges.length, TOLERANCE_MM_MIN)),
  );
  return { role, edges, lengthsMm, totalMm: sum(lengthsMm) };
}

/** Seam distance from the hem to a place `alongMm` into the edge at `index`. The inseam ends at the hem, the outseam starts there. */
export function fromHemMm(walk: SeamWalk, index: number, alongMm: number): number {
  const fromStartMm = sum(walk.lengthsMm.slice(0, index)) + alongMm;
  return walk.role === 'outseam' ? fromStartMm : walk.totalMm - fromStartMm;
}

/** The point at a seam distance from the hem; undefined past the other end. */
export function pointFromHem(walk: SeamWalk, distanceMm: number, toleranceMm: number): Point | undefined {
  let restMm = walk.role === 'outseam' ? distanceMm : walk.totalMm - distanceMm;
  if (restMm < -toleranceMm || restMm > walk.totalMm + toleranceMm) return undefined;
  for (const [i, edge] of walk.edges.entries()) {
    const last = i + 1 === walk.edges.length;
    if (restMm <= walk.lengthsMm[i] || last) {
      const alongMm = Math.min(Math.max(restMm, 0), walk.lengthsMm[i]);
      return pointAt(edge.curve, parameterAtLength(edge.curve, alongMm, toleranceMm));
    }
    restMm -= walk.lengthsMm[i];
  }
  return undefined;
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
