import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { NEEDED_MEASURES } from '#measurements';
import {
  BLOCK,
  BODY,
  CUBIC,
  fromBody,
  LINE,
  MEASURES,
  nested,
  problemsOf,
  withFront,
  withMeasures,
} from '../../test/support/draft-requests.js';
import { readDraftRequest } from './index.js';

describe('a wrong request', () => {
  it.each<[string, unknown, Record<string, unknown>]>([
    [
      'a waist girth in inches',
      withMeasures({ waistGirth: 29 }),
      {
        pointer: '/body/measures/waistGirth',
        code: 'UNIT_DOUBTFUL',
        action: 'If inches were meant send "29 in".',
      },
    ],
    [
      'text where a number belongs',
      withMeasures({ waistGirth: 'seven hundred' }),
      { pointer: '/body/measures/waistGirth', code: 'NOT_A_LENGTH', found: '"seven hundred"' },
    ],
    [
      'a number without its unit',
      withMeasures({ waistGirth: '740' }),
      {
        pointer: '/body/measures/waistGirth',
        code: 'NOT_A_LENGTH',
        message: expect.stringContaining('has no unit'),
      },
    ],
    [
      'a number too large',
      withMeasures({ waistGirth: 1e308 }),
      {
        pointer: '/body/measures/waistGirth',
        code: 'OUT_OF_RANGE',
        found: '1e+308',
        allowed: { min: 480, max: 1800, unit: 'mm' },
      },
    ],
    [
      'a number too large for the language',
      withMeasures({ waistGirth: JSON.parse('1e999') as number }),
      { pointer: '/body/measures/waistGirth', code: 'OUT_OF_RANGE', found: 'Infinity' },
    ],
    [
      'an unknown field',
      withMeasures({ waistgirt: 740 }),
      { pointer: '/body/measures/waistgirt', code: 'UNKNOWN_FIELD', action: 'Did you mean "waistGirth"?' },
    ],
    [
      'a field named like the root of all objects',
      JSON.parse(JSON.stringify(fromBody({})).replace(/^\{/, '{"__proto__": {"admin": true},')),
      { pointer: '/__proto__', code: 'UNKNOWN_FIELD' },
    ],
    [
      'a wrong word',
      fromBody({ body: { ...BODY, sex: 'Female' } }),
      { pointer: '/body/sex', code: 'NOT_ALLOWED', action: 'Did you mean "female"?' },
    ],
    [
      'an unknown alteration',
      fromBody({ alterations: [{ use: 'drop-crotsch', with: { nothing: 'known' } }] }),
      { pointer: '/alterations/0/use', code: 'NOT_ALLOWED', action: 'Did you mean "drop-crotch"?' },
    ],
    [
      'a drop that is no fraction',
      fromBody({ alterations: [{ use: 'drop-crotch', with: { drop: 200 } }] }),
      {
        pointer: '/alterations/0/with/drop',
        code: 'OUT_OF_RANGE',
        action: expect.stringContaining('"20 cm"'),
      },
    ],
    ['a body by its number', fromBody({ bodyId: 'bod_1' }), { pointer: '/bodyId', code: 'NOT_AVAILABLE' }],
    ['a block by its number', fromBody({ block: 'blk_12345' }), { pointer: '/block', code: 'NOT_AVAILABLE' }],
    [
      'a fitting that taught something unknown',
      fromBody({
        body: { ...BODY, corrections: [{ date: '2026-01-05', use: 'waistband', with: { by: 5 } }] },
      }),
      { pointer: '/body/corrections/0/use', code: 'NOT_ALLOWED' },
    ],
    [
      'a correction that is another body',
      fromBody({
        body: { ...BODY, corrections: [{ date: '2026-01-05', use: 'waist', with: { by: '9 cm' } }] },
      }),
      {
        pointer: '/body/corrections/0/with/by',
        code: 'OUT_OF_RANGE',
        allowed: { min: -60, max: 60, unit: 'mm' },
      },
    ],
    [
      'an allowance no seam has',
      fromBody({ finish: { allowances: { inseam: '10 in' } } }),
      {
        pointer: '/finish/allowances/inseam',
        code: 'OUT_OF_RANGE',
        allowed: { min: 0, max: 80, unit: 'mm' },
      },
    ],
    [
      'a corner treatment that is misspelt',
      fromBody({ finish: { corners: { hem: 'turned back' } } }),
      { pointer: '/finish/corners/hem', code: 'NOT_ALLOWED' },
    ],
    [
      'a seam that finishing does not know',
      fromBody({ finish: { allowances: { side: 10 } } }),
      { pointer: '/finish/allowances/side', code: 'UNKNOWN_FIELD' },
    ],
    [
      'shrinkage as text',
      fromBody({ cloth: { shrinkage: { warp: '3 %' } } }),
      { pointer: '/cloth/shrinkage/warp', code: 'WRONG_TYPE' },
    ],
    [
      'shrinkage that no cloth has',
      fromBody({ cloth: { shrinkage: { weft: 30 } } }),
      { pointer: '/cloth/shrinkage/weft', code: 'OUT_OF_RANGE' },
    ],
    [
      'a paper that is not sold',
      fromBody({ finish: { paper: 'a1' } }),
      { pointer: '/finish/paper', code: 'NOT_ALLOWED' },
    ],
    [
      'an output that is none',
      fromBody({ outputs: ['proof', 'markers'] }),
      { pointer: '/outputs/1', code: 'NOT_ALLOWED' },
    ],
    [
      'a nap that is none',
      fromBody({ cloth: { nap: 'both' } }),
      { pointer: '/cloth/nap', code: 'NOT_ALLOWED' },
    ],
    [
      'how to fit, and nothing to be fitted',
      fromBody({ block: BLOCK, fitting: { limits: { seam: 30 } } }),
      { pointer: '/fitting', code: 'CONFLICT' },
    ],
    [
      'how to fit a block that is drafted',
      fromBody({ fit: 'to-body', fitting: {} }),
      { pointer: '/fitting', code: 'CONFLICT' },
    ],
    [
      'how far a draft may yield, and none is drafted',
      fromBody({ block: BLOCK, fit: 'to-body', yielding: { depth: 5 } }),
      { pointer: '/yielding', code: 'CONFLICT' },
    ],
    [
      'a seam that nothing is shared over',
      fromBody({ block: BLOCK, fit: 'to-body', fitting: { weights: { hip: { side: 1 } } } }),
      { pointer: '/fitting/weights/hip/side', code: 'UNKNOWN_FIELD' },
    ],
    [
      'something to keep that nobody knows',
      fromBody({ block: BLOCK, fit: 'to-body', fitting: { keep: 'both' } }),
      { pointer: '/fitting/keep', code: 'NOT_ALLOWED', found: '"both"' },
    ],
    [
      'a weight below nothing',
      fromBody({ block: BLOCK, fit: 'to-body', fitting: { weights: { knee: { frontInseam: -1 } } } }),
      { pointer: '/fitting/weights/knee/frontInseam', code: 'OUT_OF_RANGE' },
    ],
    [
      'a thigh that may be fitted nowhere',
      fromBody({
        block: BLOCK,
        fit: 'to-body',
        fitting: { weights: { thigh: { frontFork: 0, backFork: 0 } } },
      }),
      { pointer: '/fitting/weights/thigh', code: 'NOT_ALLOWED' },
    ],
    [
      'a limit that is another block',
      fromBody({ block: BLOCK, fit: 'to-body', fitting: { limits: { seam: '20 cm' } } }),
      { pointer: '/fitting/limits/seam', code: 'OUT_OF_RANGE' },
    ],
    [
      'a day that does not exist',
      fromBody({ dated: '2026-02-29' }),
      { pointer: '/dated', code: 'NOT_ALLOWED' },
    ],
    [
      'a long reference',
      fromBody({ reference: 'x'.repeat(65) }),
      { pointer: '/reference', code: 'TEXT_TOO_LONG' },
    ],
    [
      'a reference over two lines',
      fromBody({ reference: 'a\nb' }),
      { pointer: '/reference', code: 'NOT_ALLOWED' },
    ],
    [
      'contradicting measures',
      withMeasures({ kneeHeight: 600, insideLegLength: 590, hipHeight: 640 }),
      {
        pointer: '/body/measures/kneeHeight',
        code: 'MEASURES_CONTRADICT',
        found: 'knee height 600 mm, inside leg length 590 mm',
      },
    ],
    [
      'two fronts',
      fromBody({ block: { ...BLOCK, pieces: [BLOCK.pieces[0], BLOCK.pieces[0]] } }),
      { pointer: '/block/pieces', code: 'CONFLICT' },
    ],
    [
      'a notch on an edge that is not there',
      fromBody({ block: withFront({ notches: [{ edge: 2, fromStart: 5 }] }) }),
      {
        pointer: '/block/pieces/0/notches/0/edge',
        code: 'OUT_OF_RANGE',
        allowed: { min: 0, max: 1, unit: '' },
      },
    ],
    [
      'an edge that is two curves',
      fromBody({ block: withFront({ edges: [{ role: 'hem', line: LINE, cubic: CUBIC }] }) }),
      { pointer: '/block/pieces/0/edges/0/cubic', code: 'CONFLICT' },
    ],
    [
      'an edge without a curve',
      fromBody({ block: withFront({ edges: [{ role: 'hem' }] }) }),
      { pointer: '/block/pieces/0/edges/0/line', code: 'MISSING' },
    ],
    [
      'a cubic of three points',
      fromBody({ block: withFront({ edges: [{ role: 'hem', cubic: CUBIC.slice(1) }] }) }),
      { pointer: '/block/pieces/0/edges/0/cubic', code: 'WRONG_TYPE' },
    ],
  ])('is told about %s', (_, json, expected) => {
    const problems = problemsOf(json);
    expect(problems).toContainEqual(expect.objectContaining(expected));
    for (const { message, action, found } of problems) {
      expect([message, action, found].join(' ')).not.toMatch(/undefined|\[object|Infinity to/);
    }
  });

  it('is told of a missing body, and of every missing measure at once', () => {
    const { waistGirth } = MEASURES;
    expect(problemsOf({}).map(({ pointer, code }) => [pointer, code])).toEqual([
      ['/body', 'MISSING'],
      ['/block', 'MISSING'],
    ]);
    const problems = problemsOf(fromBody({ body: { ...BODY, measures: { waistGirth } } }));
    expect(problems.map(({ pointer }) => pointer)).toEqual(
      NEEDED_MEASURES.slice(1).map((name) => `/body/measures/${name}`),
    );
    for (const { code, allowed } of problems)
      expect([code, allowed]).toEqual(['MISSING', expect.objectContaining({ unit: 'mm' })]);
  });

  it('is told everything at once', () => {
    const { hipGirth: _, ...rest } = MEASURES;
    const problems = problemsOf({
      body: {
        ref: 'order 1042',
        sex: 'woman',
        measures: { ...rest, waistGirth: 29, kneeHeight: 'tall', shoe: 41 },
      },
      block: 'from body',
      ease: { waist: 1e308, hips: 40 },
      alterations: [{ use: 'drop-crotch', with: { crop: '3 ft' } }],
      outputs: ['marker', 'proofs'],
      finish: { notch: { depth: 'deep' }, paper: 'A0' },
      dated: 20260331,
    });
    expect(problems.map(({ pointer, code }) => `${pointer} ${code}`).sort()).toEqual([
      '/alterations/0/with/crop NOT_A_LENGTH',
      '/block NOT_ALLOWED',
      '/body/measures/hipGirth MISSING',
      '/body/measures/kneeHeight NOT_A_LENGTH',
      '/body/measures/shoe UNKNOWN_FIELD',
      '/body/measures/waistGirth UNIT_DOUBTFUL',
      '/body/sex NOT_ALLOWED',
      '/dated WRONG_TYPE',
      '/ease/hips UNKNOWN_FIELD',
      '/ease/waist OUT_OF_RANGE',
      '/finish/notch/depth NOT_A_LENGTH',
      '/finish/paper NOT_ALLOWED',
      '/outputs/1 NOT_ALLOWED',
    ]);
  });

  it.each<[string, unknown]>([
    ['a list', []],
    ['null', null],
    ['a number', 3],
    ['a text', 'from-body'],
  ])('is told that %s is not a request', (_, json) => {
    expect(problemsOf(json)).toMatchObject([{ pointer: '', code: 'WRONG_TYPE' }]);
  });
});

describe('a hostile request', () => {
  it.each<[string, unknown, string]>([
    ['deep nesting', nested(100_000), 'TOO_DEEP'],
    ['a huge list', fromBody({ confirm: new Array(500_000).fill(0) }), 'TOO_MANY'],
    ['many lists', fromBody({ outputs: new Array(900).fill(new Array(900).fill(0)) }), 'TOO_MANY'],
    [
      'many fields',
      fromBody(Object.fromEntries(Array.from({ length: 5000 }, (_, i) => [`f${i}`, 1]))),
      'TOO_MANY',
    ],
    ['a long text', fromBody({ reference: 'x'.repeat(1_000_000) }), 'TEXT_TOO_LONG'],
    [
      'a line of one point',
      fromBody({ block: withFront({ lines: [{ role: 'hip', points: [[0, 0]] }] }) }),
      'TOO_FEW',
    ],
    ['too many edges', fromBody({ block: withFront({ edges: new Array(201).fill({}) }) }), 'TOO_MANY'],
    ['a long name', fromBody({ ['n'.repeat(1_000_000)]: 1 }), 'UNKNOWN_FIELD'],
  ])('with %s gets a short answer', (_, json, code) => {
    const problems = problemsOf(json);
    expect(problems.map((problem) => problem.code)).toContain(code);
    expect(problems.length).toBeLessThanOrEqual(101);
    expect(JSON.stringify(problems).length).toBeLessThan(100_000);
  });

  it('with a thousand faults hears of a hundred and how many more', () => {
    const edges = new Array(150).fill({
      role: 'rise',
      line: [
        ['a', 'b'],
        ['c', 'd'],
      ],
    });
    const problems = problemsOf(fromBody({ block: withFront({ edges }) }));
    expect(problems).toHaveLength(101);
    expect(problems[100]).toMatchObject({ code: 'MORE_PROBLEMS', message: 'There are 500 more problems.' });
  });

  it('never brings the reader down', () => {
    fc.assert(fc.property(fc.jsonValue(), (json) => typeof readDraftRequest(json).ok === 'boolean'));
    const arbNear = fc.record(
      {
        body: fc.record(
          { ref: fc.jsonValue(), sex: fc.jsonValue(), measures: fc.jsonValue() },
          { requiredKeys: [] },
        ),
        block: fc.oneof(
          fc.jsonValue(),
          fc.record({ pieces: fc.array(fc.record({ edges: fc.jsonValue() })) }),
        ),
        ease: fc.jsonValue(),
        alterations: fc.array(fc.record({ use: fc.jsonValue(), with: fc.jsonValue() })),
        outputs: fc.jsonValue(),
        confirm: fc.jsonValue(),
      },
      { requiredKeys: [] },
    );
    fc.assert(fc.property(arbNear, (json) => typeof readDraftRequest(json).ok === 'boolean'));
  });
});
