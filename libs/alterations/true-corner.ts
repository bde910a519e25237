import { angleBetween, endDirection, opposite, startDirection, type Point } from '#geometry';
import { edgesOf, type EdgeRole, type Piece } from '#pattern';

/**
 * True the fork: the direction in which both inseams must leave it so that front and back corner sum to 180 degrees
 * and the sewn under-crotch is smooth.
 *
 * Why     each corner is 180 degrees less the lean of the rise less the lean of the inseam; with one inseam lean for
 *         both pieces the sum is 180 exactly when that lean is 90 degrees less the mean lean of the rises. Any other
 *         lean by x degrees gives a point or a notch of 2x once sewn.
 * Units   radians from the vertical, rises leaning down towards the inseam; the direction has length 1.
 */
export function trueFork(frontRiseLeanRad: number, backRiseLeanRad: number): Point {
  const leanRad = Math.PI / 2 - (frontRiseLeanRad + backRiseLeanRad) / 2;
  return { x: -Math.sin(leanRad), y: -Math.cos(leanRad) };
}

/** Corners of a piece where two seams end together. */
export type Corner = 'fork' | 'inseamHem' | 'sideHem' | 'sideWaist' | 'centreWaist';

const SEAMS_AT: Readonly<Record<Corner, readonly [ends: EdgeRole, starts: EdgeRole]>> = {
  fork: ['rise', 'inseam'],
  inseamHem: ['inseam', 'hem'],
  sideHem: ['hem', 'outseam'],
  sideWaist: ['outseam', 'waist'],
  centreWaist: ['waist', 'rise'],
};

/** The angle between the two seams of a corner inside the piece, in radians, for a corner that points outwards. */
export function cornerAngleRad(piece: Piece, corner: Corner): number {
  const [ends, starts] = SEAMS_AT[corner];
  const ending = edgesOf(piece, ends);
  const [starting] = edgesOf(piece, starts);
  return angleBetween(
    opposite(endDirection(ending[ending.length - 1].curve)),
    startDirection(starting.curve),
  );
}
