import { withSeam, edgesOf, type EdgeRole, type Piece } from '#pattern';
import { copiedEdge } from './edge-identity.js';
import { done, type Outcome } from './outcome.js';
import { seamRecord } from './redraw-seam.js';

/**
 * Copy a seam of one piece onto another as it stands: the two are then identical, the surest truing there is.
 *
 * Shape  the copies are new edges that name their originals as `front/inseam-1`. Both pieces have the crease at
 *        x = 0 and the inseam at +x, so nothing is mirrored. Neighbouring seams are not touched.
 */
export function copyEdge(from: Piece, onto: Piece, role: EdgeRole, toleranceMm: number): Outcome<Piece> {
  const copied = withSeam(
    onto,
    role,
    edgesOf(from, role).map((edge) => copiedEdge(edge, from)),
  );
  return done(copied, [seamRecord('copy edge', onto, copied, role, toleranceMm)]);
}
