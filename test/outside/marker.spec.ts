import { expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { MarkerEngine, planMarker, readInstance, type Marker, type MarkerRequest, type Nap } from '#marker';
import { layoutOpinions } from '../support/check-layout.js';
import { randomOrder } from '../support/marker-orders.js';
import { numbersFrom } from '../support/random-numbers.js';
import { describeWith, SHAPELY } from '../support/needs.js';
import { trouserOrder } from '../support/trouser-order.js';
import { IS_NIGHT } from '../support/seed.js';

/** A thousand at night: FORKLINE_NIGHTLY=1. */
const RANDOM_ORDERS = IS_NIGHT ? 1_000 : 60;
// Shapely works in doubles: what it finds below this is its own rounding, some 1e-13 of a coordinate squared.
const AREA_TOLERANCE = 1e-6;
const LENGTH_TOLERANCE = 1e-9;

describeWith(SHAPELY, 'a marker, by shapely,', (python) => {
  it('has no overlap, lies on the cloth and holds what was asked, for the trousers instance', () => {
    const path = join(import.meta.dirname, '../../../test/fixtures/markers/trousers.json');
    const read = readInstance(JSON.parse(readFileSync(path, 'utf8')) as unknown);
    if (!read.ok) throw new Error('the fixture cannot be read');
    expectSound(python, [{ request: read.request, marker: lay(read.request, 5_000, 1) as Marker }]);
  });

  it('does so for three drafted trousers under every nap', () => {
    const naps: Nap[] = ['free', 'per-garment', 'one-way'];
    const cloth = { width: 1500, selvedge: 10, endMargin: 20, gap: 3 };
    const jobs = naps.map((nap) => {
      const request = trouserOrder(3, { ...cloth, nap });
      return { request, marker: lay(request, 1_500, 1) as Marker };
    });
    expectSound(python, jobs);
  });

  it(`does so for ${RANDOM_ORDERS} random orders, or refuses them`, () => {
    const next = numbersFrom(5);
    const jobs = Array.from({ length: RANDOM_ORDERS }, (_, i) => {
      const request = randomOrder(next);
      return { request, marker: lay(request, 150, i) };
    });
    const laid = jobs.flatMap(({ request, marker }) => (marker === undefined ? [] : [{ request, marker }]));
    expect(laid.length).toBeGreaterThan(RANDOM_ORDERS / 3);
    expectSound(python, laid);
  });
});

function lay(request: MarkerRequest, work: number, seed: number): Marker | undefined {
  const answer = planMarker(request);
  if (!answer.ok) return undefined;
  const engine = new MarkerEngine(answer.plan, { seed, chain: 0 });
  engine.runTo(work);
  return engine.best();
}

function expectSound(python: string, jobs: readonly { request: MarkerRequest; marker: Marker }[]): void {
  layoutOpinions(python, jobs).forEach((opinion, i) => {
    const { request, marker } = jobs[i];
    expect(opinion.overlapArea).toBeLessThan(AREA_TOLERANCE);
    expect(opinion.nearest ?? Infinity).toBeGreaterThan((request.cloth.gap ?? 0) - LENGTH_TOLERANCE);
    expect(opinion.outside).toBeLessThan(LENGTH_TOLERANCE);
    expect(opinion).toMatchObject({ demandMet: true, turnedWrong: 0, againstNap: 0 });
    expect(opinion.utilisation).toBeCloseTo(marker.figures.utilisation, 9);
  });
}
