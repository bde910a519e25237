import { describe, expect, it } from '@jest/globals';
import { DXF_LIMITS } from '#interchange';
import { numbersFrom } from '../../test/support/finished-cases.js';
import { HOSTILE, mutated } from '../../test/support/hostile-dxf.js';
import { dxfOf } from '../../test/support/planted-faults.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { CHECK_DEFAULTS, checkPattern } from './index.js';

const NIGHTLY = process.env['FORKLINE_NIGHTLY'] === '1';
const SEED = Number(process.env['FORKLINE_SEED'] ?? 20261128);
const next = numbersFrom(SEED);

/** A report comes back whatever the file holds: findings that say something, bounded, and writable as JSON. */
function expectAnswer(text: string): number {
  const { report } = checkPattern(text, CHECK_DEFAULTS);
  const written = JSON.stringify(report, (_, value: unknown) => {
    if (typeof value === 'number' && !Number.isFinite(value)) throw new Error('a number that is not finite');
    return value;
  });
  expect(written.length).toBeLessThan(2_000_000);
  for (const { message, action } of report.findings)
    expect(Math.min(message.length, action.length)).toBeGreaterThan(0);
  return report.findings.length;
}

describe(`files made to break the reader, seed ${SEED}`, () => {
  it.each(HOSTILE)('$name: answered with findings', ({ text }) => {
    for (let i = 0; i < (NIGHTLY ? 63 : 2); i++) expect(expectAnswer(text(next))).toBeGreaterThan(0);
  });

  it('a file past the limit is refused before it is read', () => {
    const text = '0\n'.repeat(DXF_LIMITS.characters / 2 + 1);
    expect(checkPattern(text, CHECK_DEFAULTS).report.findings.map(({ code }) => code)).toEqual([
      'DXF_TOO_LARGE',
    ]);
  });

  it('a file of more kinds of unread parts than are listed counts the rest', () => {
    const [{ pattern }] = soundPatterns(surveyBodies(), 1, next);
    const kinds = Array.from({ length: 200 }, (_, i) => `0\nODDITY${i}\n8\n1\n`).join('');
    const text = dxfOf(pattern.pieces).replace(
      /0\r?\nEOF/,
      `0\nSECTION\n2\nENTITIES\n${kinds}0\nENDSEC\n0\nEOF`,
    );
    const { unread } = checkPattern(text, CHECK_DEFAULTS).report.file;
    expect(unread.length).toBeLessThanOrEqual(61);
    expect(unread.reduce((sum, { count }) => sum + count, 0)).toBeGreaterThanOrEqual(200);
  });

  it('sound files with lines changed, lost, doubled and moved are answered', () => {
    const [{ pattern }] = soundPatterns(surveyBodies(), 1, next);
    const text = dxfOf(pattern.pieces.filter(({ id }) => ['front', 'back', 'waistband'].includes(id)));
    for (let i = 0; i < (NIGHTLY ? 10_000 : 25); i++) expectAnswer(mutated(text, next));
  });
});
