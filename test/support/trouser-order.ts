import { flatten, startOf, type Point } from '#geometry';
import type { Cloth, GarmentPiece, MarkerPiece, MarkerRequest } from '#marker';
import type { Piece } from '#pattern';
import { draftResult } from '#pipeline';
import { surveyBodies } from './survey-bodies.js';

/** Chords may leave the curve by so much, to either side. */
const CHORD_TOLERANCE_MM = 0.1;

/**
 * Drop-crotch trousers of different bodies, front and back as pairs, ready to be laid.
 *
 * The outline is the seam line with the darts closed by a chord: allowances are not in it. The grain, up the leg in a
 * draft, runs along the cloth.
 */
export function trouserOrder(count: number, cloth: Cloth): MarkerRequest {
  const alterations = [{ use: 'drop-crotch', with: {} }] as const;
  const drafted = surveyBodies().flatMap((body) => {
    const { finished } = draftResult({
      body,
      block: 'from-body',
      ease: { name: 'regular', overrides: {} },
      alterations,
      outputs: [],
    });
    return finished === undefined ? [] : [{ reference: body.ref, block: finished.block }];
  });
  const chosen = Array.from({ length: count }, (_, i) => drafted[i % drafted.length]);
  const pieces = chosen.flatMap(({ block }, i) => [
    piece(`front ${i + 1}`, block.front),
    piece(`back ${i + 1}`, block.back),
  ]);
  const garments = chosen.map(({ reference }, i) => ({
    reference: `${reference} (${i + 1})`,
    pieces: ['front', 'back'].map((role): GarmentPiece => ({
      piece: `${role} ${i + 1}`,
      plain: 1,
      mirrored: 1,
    })),
  }));
  return { cloth, pieces, garments };
}

function piece(id: string, { edges }: Piece): MarkerPiece {
  const corners = edges
    .filter((edge) => edge.role !== 'dart')
    .flatMap(({ curve }) => [startOf(curve), ...flatten(curve, CHORD_TOLERANCE_MM).slice(1, -1)]);
  return { id, outline: corners.map(({ x, y }: Point) => [y, -x] as const), turns: [0, 180] };
}
