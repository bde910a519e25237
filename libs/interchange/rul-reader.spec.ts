import fc from 'fast-check';
import { describe, expect, it } from '@jest/globals';
import { readRul } from './index.js';

// Keys and form as secondary sources of ASTM D6673-10 give them; the numbers are invented.
const TABLE = `ASTM/D13 Proposal 1 Version: D 6673-10
AUTHOR: x
CREATION DATE: 2026-01-05
CREATION TIME: 14:00
UNITS: METRIC
GRADE RULE TABLE: T1
NUMBER OF SIZES: 3
SIZE LIST: 36 38 40
SAMPLE SIZE: 38
RULE: DELTA 1
  -10.00, -5.00   0.00, 0.00   10.00, 5.00
RULE: DELTA 2
  -2.5 0
  0, 0
  2.5
  0
END
`;

const codesOf = (text: string): string[] => readRul(text).problems.map(({ code }) => code);

describe('readRul', () => {
  it('reads rules over any number of lines, with commas or without', () => {
    const { table, problems } = readRul(TABLE);
    expect(problems).toEqual([]);
    expect(table).toMatchObject({ name: 'T1', units: 'metric', sizes: ['36', '38', '40'], sampleSize: '38' });
    expect([...(table?.rules ?? [])]).toEqual([
      [
        '1',
        [
          { x: -10, y: -5 },
          { x: 0, y: 0 },
          { x: 10, y: 5 },
        ],
      ],
      [
        '2',
        [
          { x: -2.5, y: 0 },
          { x: 0, y: 0 },
          { x: 2.5, y: 0 },
        ],
      ],
    ]);
  });

  it('turns inches into millimetres', () => {
    const { table } = readRul(TABLE.replace('METRIC', 'ENGLISH'));
    expect(table?.rules.get('1')?.[2]).toEqual({ x: 254, y: 127 });
  });

  it('takes the keys in any order and letter case, and any line ends', () => {
    const [first, ...rest] = TABLE.split('RULE: DELTA 1');
    const header = first.trim().split('\n').reverse().join('\n').toLowerCase().replace('metric', 'Metric');
    const turned = [`${header}\n`, ...rest].join('Rule : Delta 1').replaceAll('\n', '\r\n');
    expect(readRul(turned)).toMatchObject({ problems: [], table: { sizes: ['36', '38', '40'] } });
  });

  it.each<[string, string, readonly string[], boolean]>([
    ['no unit', TABLE.replace('METRIC', 'FURLONG'), ['RUL_UNITS'], false],
    ['no sizes', TABLE.replace(/SIZE LIST.*/, ''), ['RUL_SIZES'], false],
    ['a pair too few', TABLE.replace('10.00, 5.00', '10.00'), ['RUL_RULE'], true],
    ['a word for a number', TABLE.replace('-2.5 0', '-2.5 zero'), ['RUL_NOT_A_NUMBER', 'RUL_RULE'], true],
    [
      'a number past all measure',
      TABLE.replace('-2.5 0', '-2.5 1e99'),
      ['RUL_NOT_A_NUMBER', 'RUL_RULE'],
      true,
    ],
    ['a rule there twice', TABLE.replace('DELTA 2', 'DELTA 1'), ['RUL_RULE_TWICE'], true],
    ['another sample size', TABLE.replace('SIZE: 38', 'SIZE: 44'), ['RUL_SAMPLE_SIZE'], true],
    ['another count of sizes', TABLE.replace('SIZES: 3', 'SIZES: 4'), ['RUL_SIZE_COUNT'], true],
    ['no end', TABLE.replace('END', ''), ['RUL_CUT_OFF'], true],
    ['nothing at all', '', ['RUL_CUT_OFF', 'RUL_SIZES', 'RUL_UNITS'], false],
  ])('says what is wrong with %s', (_, text, codes, isTable) => {
    const { table, problems } = readRul(text);
    expect(problems.map(({ code }) => code)).toEqual(codes);
    for (const { found, allowed, message, action } of problems)
      for (const words of [found, allowed, message, action]) expect(words).not.toBe('');
    expect(table !== undefined).toBe(isTable);
    // What is wrong with one rule costs only that rule.
    if (isTable) expect(table?.rules.size).toBeGreaterThanOrEqual(1);
  });

  it('says no more than a person reads, and refuses what is past the limit', () => {
    expect(codesOf(TABLE.replace('-2.5 0', 'x '.repeat(5000)))).toHaveLength(20);
    expect(codesOf(' '.repeat(4 * 1024 * 1024 + 1))).toEqual(['RUL_TOO_LARGE']);
  });

  it('takes no longer for lines that are all blanks between two words than for others', () => {
    // A pattern that tries every split of the blanks would take hours.
    expect(codesOf(`a${' '.repeat(4_000_000)}b\n`)).toEqual(['RUL_CUT_OFF', 'RUL_SIZES', 'RUL_UNITS']);
  });

  it('answers any text', () => {
    const line = fc.oneof(fc.string(), fc.constantFrom(...TABLE.split('\n')));
    fc.assert(
      fc.property(fc.array(line, { maxLength: 30 }), (lines) => {
        const { table, problems } = readRul(lines.join('\n'));
        for (const moves of table?.rules.values() ?? []) expect(moves).toHaveLength(table?.sizes.length ?? 0);
        expect(problems.length).toBeLessThanOrEqual(20);
      }),
      { seed: 20261128 },
    );
  });
});
