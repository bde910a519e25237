import type { Finding } from '#pattern';
import { markersToWrite, namedPieces, type MarkerToWrite } from './marker-to-write.js';
import type { LaidOrder } from './laid-order.js';
import type { MarkerProvenance } from './marker-files.js';
import type { LayingPlan } from './plan-laying.js';

/**
 * What `marker.json` holds of a laid order.
 *
 * Shape   each marker as a layout of the published form, with the outlines it places (grain along +x), so that anybody can
 *         check it without the drafts. Numbers are written whole: the certificate holds for them to the last digit.
 * Units   millimetres, degrees; areas in mm2; cost in the currency of the price.
 */
export function laidFile(
  plan: LayingPlan,
  laid: LaidOrder,
  { engine, dated }: MarkerProvenance,
  findings: readonly Finding[],
): unknown {
  return {
    engine,
    reference: plan.order.reference,
    ...(dated === undefined ? {} : { dated }),
    markers: markersToWrite(plan, laid).map(writtenMarker),
    left: laid.left.map(({ cloth, garment }) => ({
      cloth: plan.cloths[cloth].cloth.name,
      garment: plan.cloths[cloth].garments[garment].reference,
    })),
    remnants: laid.remnants.map(({ cloth, roll, lengthMm }) => ({
      cloth: plan.cloths[cloth].cloth.name,
      roll: plan.cloths[cloth].cloth.rolls?.[roll].name,
      lengthMm,
    })),
    findings,
  };
}

function writtenMarker(one: MarkerToWrite): unknown {
  const { request, marker, comparison, sizes } = one;
  const { length, utilisation, ...figures } = marker.figures;
  return {
    cloth: one.clothName,
    ...(one.rollName === undefined ? {} : { roll: one.rollName }),
    rules: request.cloth,
    seed: marker.seed,
    chain: marker.chain,
    work: marker.work,
    length,
    utilisation,
    figures,
    ...(comparison === undefined ? {} : { comparison }),
    garments: request.garments.map(({ reference }, g) => ({
      number: g + 1,
      reference,
      ...(sizes[g] === undefined ? {} : { size: sizes[g] }),
    })),
    pieces: request.pieces.map(({ id, outline, turns, tilt, match }) => ({
      id,
      turns,
      ...(tilt === undefined ? {} : { tilt }),
      ...(match === undefined ? {} : { match }),
      outline,
    })),
    placements: namedPieces(one).map(({ placement: { piece, garment, turn, mirrored, x, y }, name }) => ({
      piece,
      name,
      garment: garment + 1,
      turn,
      mirrored,
      x,
      y,
    })),
  };
}
