import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from '@jest/globals';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { faultPage, pageRows } from '../../test/support/fault-page.js';
import { FAULT_KINDS } from '../../test/support/planted/fault-kinds.js';
import { rateOf, type Rate } from '../../test/support/plant-and-look.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { CHECK_DEFAULTS, checkPattern } from './index.js';

// Every kind of fault is planted in patterns that are sound by the word of the draft that made them, each time with another
// size and place, above the tolerance of its check; it has to be found by its name, on the right piece and at the right
// place, and nothing else may be said but what the fault makes true besides.
const TIMES = IS_NIGHT ? 50 : 1;
const PAGE = join(import.meta.dirname, '../../../docs/bench/planted-faults.md');

const sound = soundPatterns(surveyBodies(), IS_NIGHT ? 60 : 3, numbersFrom((SEED % 2147483646) + 1));
const said = sound.map(({ pattern }) => checkPattern(dxfOf(pattern.pieces), CHECK_DEFAULTS).report.findings);
const rates: Rate[] = [];

describe(`faults planted with seed ${SEED}`, () => {
  it('are of at least 40 kinds', () => {
    expect(new Set(FAULT_KINDS.map(({ name }) => name)).size).toBeGreaterThanOrEqual(40);
  });

  it(`are not found in ${sound.length} sound patterns`, () => {
    expect(said.map((findings) => findings.map(({ message }) => message))).toEqual(sound.map(() => []));
  });

  // Each kind has numbers of its own, so that one more kind changes nothing for the others.
  it.each(FAULT_KINDS.map((kind, place) => ({ ...kind, place })))(
    '$name: found, named and placed, and nothing else said',
    ({ place }) => {
      const kind = FAULT_KINDS[place];
      const rate = rateOf(kind, sound, TIMES, ownNumbers(place));
      const alarms = said.filter((findings) => findings.some(({ code }) => kind.codes.includes(code))).length;
      rates.push({ ...rate, soundAlarms: alarms });
      expect(rate.planted).toBeGreaterThan(0);
      expect(rate.missed).toEqual([]);
      expect(rate.besides).toEqual([]);
    },
  );

  it('are tabled in docs/bench/planted-faults.md', () => {
    if (IS_NIGHT && process.env['UPDATE_DOCS'] === '1') writeFileSync(PAGE, faultPage(rates, sound.length));
    const page = readFileSync(PAGE, 'utf8');
    if (IS_NIGHT) expect(page).toBe(faultPage(rates, sound.length));
    // By day the rates are those of the last night; the kinds have to be those of today.
    else
      expect(pageRows(page)).toEqual(
        FAULT_KINDS.map(({ name, codes }) => ({
          name,
          codes,
          planted: 50,
          found: 50,
          soundAlarms: 0,
          besides: 0,
        })),
      );
  });
});

function ownNumbers(place: number): () => number {
  const next = numbersFrom(((SEED + 7919 * place) % 2147483646) + 1);
  // The first numbers of neighbouring seeds are neighbours.
  for (let i = 0; i < 8; i++) next();
  return next;
}
