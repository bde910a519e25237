import { writeFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { numbersFrom } from '../../test/support/finished-cases.js';
import { FAULT_KINDS } from '../../test/support/planted-faults.js';
import { rateOf, type Rate } from '../../test/support/plant-and-look.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';

// Every kind of fault is planted in patterns in which nothing is found, each time with another size and place, above the
// tolerance of its check; it has to be found by its name, on the right piece and at the right place.
const NIGHTLY = process.env['FORKLINE_NIGHTLY'] === '1';
const TIMES = NIGHTLY ? 50 : 1;
const SEED = Number(process.env['FORKLINE_SEED'] ?? 20261128);

const next = numbersFrom(SEED);
const sound = soundPatterns(surveyBodies(), NIGHTLY ? 10 : 2, next);
const rates: Rate[] = [];

describe(`faults planted with seed ${SEED}`, () => {
  it('are of at least 40 kinds, in patterns in which nothing is found', () => {
    expect(new Set(FAULT_KINDS.map(({ name }) => name)).size).toBeGreaterThanOrEqual(40);
    expect(sound.length).toBeGreaterThanOrEqual(2);
  });

  it.each(FAULT_KINDS)('$name: found, named and placed', (kind) => {
    const rate = rateOf(kind, sound, TIMES, next);
    rates.push(rate);
    expect(rate.planted).toBeGreaterThan(0);
    expect(rate.missed).toEqual([]);
  });

  if (NIGHTLY)
    it('are tabled', () => {
      const rows = rates.map(({ kind, planted, found }) => `| ${kind} | ${planted} | ${found} |`);
      const path = process.env['FORKLINE_RATES'];
      if (path !== undefined)
        writeFileSync(path, `${['| fault | planted | found |', '|---|---:|---:|', ...rows].join('\n')}\n`);
      expect(rows).toHaveLength(FAULT_KINDS.length);
    });
});
