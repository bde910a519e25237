import { certify, type CertificateFault } from './certificate.js';
import type { Marker } from './engine.js';
import { planMarker, type MarkerPlan } from './plan-marker.js';
import type { MarkerRequest, Placement } from './request.js';

/** How far, in grid units, a matched point may be rounded off its repeat. */
const REPEAT_UNITS = 2;
const FAULTS_MAX = 5;

/** Certify places found for a plan. */
export function certifyPlaces(
  { request, unitsPer }: Pick<MarkerPlan, 'request' | 'unitsPer'>,
  length: number,
  placements: readonly Placement[],
): readonly CertificateFault[] {
  return certify(request, length, placements, {
    repeatTolerance: REPEAT_UNITS / unitsPer,
    faultsMax: FAULTS_MAX,
  });
}

/** Certify a marker that was found elsewhere: by another thread, another machine, another day. */
export function certifyMarker(
  request: MarkerRequest,
  { placements, figures }: Pick<Marker, 'placements' | 'figures'>,
): readonly CertificateFault[] {
  const answer = planMarker(request);
  if (!answer.ok) throw new Error(`PLAN_REFUSED ${answer.problems[0].code}`);
  return certifyPlaces(answer.plan, figures.length, placements);
}
