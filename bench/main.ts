import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { DROP_CROTCH_DEFAULTS } from '#alterations';
import { draftBlock } from '#drafting';
import { easeFor } from '#fit';
import { at, cubic, quadratureLength } from '#geometry';
import { completeMeasures, type Body } from '#measurements';
import { draftResult } from '#pipeline';

/** Each body is timed this often and its best is kept: what is left is the work, not the machine's other business. */
const REPEATS = 9;
const LENGTH_TOLERANCE_MM = 0.001;

const CURVES = Array.from({ length: 100 }, (_, i) =>
  cubic(at(i, 0), at(i + 80, 120), at(150 - i, 260), at(3 * i, 380)),
);

const bodies = surveyBodies();
const ease = easeFor('regular', 'pressed', {});
const alterations = [{ use: 'drop-crotch', with: { ...DROP_CROTCH_DEFAULTS, waist: 'restore' } }] as const;

const yardstickMs = Math.min(...Array.from({ length: REPEATS }, () => timed(tenThousandLengths)));
report(
  'block',
  bodies.map((body) => () => draftBlock(completeMeasures(body).measures, ease, LENGTH_TOLERANCE_MM)),
);
report(
  'block, alteration and truing',
  bodies.map(
    (body) => () =>
      draftResult({
        body,
        block: 'from-body',
        ease: { name: 'regular', overrides: {} },
        alterations,
        outputs: [],
      }),
  ),
);

function report(name: string, works: readonly (() => unknown)[]): void {
  const best = works.map(() => Infinity);
  for (let repeat = 0; repeat < REPEATS; repeat++) {
    works.forEach((work, i) => (best[i] = Math.min(best[i], timed(work))));
  }
  best.sort((a, b) => a - b);
  const medianMs = best[best.length >> 1];
  const lengths = Math.round((10_000 * medianMs) / yardstickMs);
  console.log(
    `${name.padEnd(32)} ${medianMs.toFixed(2)} ms  = ${lengths} curve lengths (median of ${works.length} bodies)`,
  );
}

function timed(work: () => unknown): number {
  const start = performance.now();
  work();
  return performance.now() - start;
}

/** The yardstick: 10,000 fixed-order curve lengths, over a hundred curves of a garment's size. */
function tenThousandLengths(): number {
  let sum = 0;
  for (let round = 0; round < 100; round++) for (const curve of CURVES) sum += quadratureLength(curve);
  return sum;
}

function surveyBodies(): Body[] {
  const path = join(import.meta.dirname, '../../test/fixtures/survey-bodies.csv');
  const [header, ...rows] = readFileSync(path, 'utf8')
    .split(/\r?\n/)
    .filter((row) => row !== '' && !row.startsWith('#'))
    .map((row) => row.split(','));
  return rows.map((row) => ({
    ref: row[0],
    sex: row[1] === 'female' ? 'female' : 'male',
    insideLegTaken: 'pressed',
    measures: Object.fromEntries(header.slice(2).map((name, i) => [name, Number(row[i + 2])])),
  }));
}
