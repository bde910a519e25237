import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from '@jest/globals';
import { americanPeriodDraft, vincentDraft } from './fixtures/period-trouser-rules.js';
import { comparisons, comparisonTables, matters } from './support/handbook-comparison.js';

const PAGE = join(import.meta.dirname, '../../docs/handbook-comparison.md');
const MARK = '<!-- tables -->';

describe('the printed rules', () => {
  // Source: the period text of the United States as scanned, in inches: knee line 14 below the fork, knee 5 and bottom
  // 3.875 to each side of the crease, seat/12 = 3.33.
  it.each([
    ['knee line', americanPeriodDraft().kneeBelowForkMm, 14],
    ['half the knee', americanPeriodDraft().kneeHalfMm, 5],
    ['half the bottom', americanPeriodDraft().hemHalfMm, 3.875],
    ['step of the back fork', americanPeriodDraft().backForkMm, 3.33],
    // Source: Vincent: 2 in less than half of 32; an eighth of 36; a rise of 44 - 32.
    ['Vincent: knee line', vincentDraft().kneeBelowForkMm, 14],
    ['Vincent: back fork', vincentDraft().backForkMm, 4.5],
    ['Vincent: rise', vincentDraft().body.rise, 12],
  ])('%s', (_, mm, inches) => {
    expect(Math.abs((mm ?? 0) / 25.4 - inches)).toBeLessThan(0.0051);
  });
});

describe('docs/handbook-comparison.md', () => {
  const all = comparisons();

  it('explains every difference over 5 mm or 1 degree', () => {
    const silent = all.flatMap(({ title, rows }) =>
      rows.filter((row) => matters(row) && row.why === '').map(({ figure }) => `${title}: ${figure}`),
    );
    expect(silent).toEqual([]);
  });

  it('holds the figures of today', () => {
    const tables = comparisonTables(all);
    if (process.env['UPDATE_GOLDEN'] !== undefined) {
      const parts = readFileSync(PAGE, 'utf8').split(MARK);
      writeFileSync(PAGE, [parts[0], `\n\n${tables}\n`, parts[2]].join(MARK));
    }
    expect(readFileSync(PAGE, 'utf8').split(MARK)[1].trim()).toBe(tables.trim());
  });
});
