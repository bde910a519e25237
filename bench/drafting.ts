import { performance } from 'node:perf_hooks';
import { draftBlock } from '#drafting';
import { easeFor } from '#fit';
import { at, cubic, quadratureLength } from '#geometry';
import { completeMeasures, type Body } from '#measurements';
import { draftResult } from '#pipeline';
import { surveyBodies } from '../test/support/survey-bodies.js';

// A service is warm; until the compiler has seen the work a dozen times, its time says more about the compiler.
const WARM_UP_ROUNDS = 12;
const ROUNDS = 20;

/** As the pipeline certifies the lengths of a draft. */
const LENGTH_TOLERANCE_MM = 0.004;

const CURVES = Array.from({ length: 100 }, (_, i) =>
  cubic(at(i, 0), at(i + 80, 120), at(150 - i, 260), at(3 * i, 380)),
);

const bodies = surveyBodies();
const ease = easeFor('regular', 'pressed', {});
const alterations = [{ use: 'drop-crotch', with: {} }] as const;

const works = {
  block: (body: Body): unknown => draftBlock(completeMeasures(body).measures, ease, LENGTH_TOLERANCE_MM),
  'block, alteration and truing': (body: Body): unknown =>
    draftResult({
      body,
      block: 'from-body',
      ease: { name: 'regular', overrides: {} },
      alterations,
      outputs: [],
    }),
};

// Yardstick and work take turns, so that both meet the same machine and the same state of the compiler.
const yardstickMs: number[] = [];
const perBodyMs = Object.keys(works).map((): number[] => []);
for (let round = -WARM_UP_ROUNDS; round < ROUNDS; round++) {
  const lengthsMs = timed(tenThousandLengths);
  if (round >= 0) yardstickMs.push(lengthsMs);
  Object.values(works).forEach((work, i) => {
    for (const body of bodies) {
      const workMs = timed(() => work(body));
      if (round >= 0) perBodyMs[i].push(workMs);
    }
  });
}
console.log(`${'10,000 curve lengths'.padEnd(30)} ${median(yardstickMs).toFixed(2)} ms`);
Object.keys(works).forEach((name, i) => {
  const ms = median(perBodyMs[i]);
  const lengths = Math.round((10_000 * ms) / median(yardstickMs));
  console.log(
    `${name.padEnd(30)} ${ms.toFixed(2)} ms = ${lengths} curve lengths (median of ${bodies.length} bodies)`,
  );
});

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1];
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
