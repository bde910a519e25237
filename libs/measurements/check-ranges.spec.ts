import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { checkRanges, MEASURE_NAMES, RANGES } from './index.js';
import type { Body, MeasureName } from './index.js';

/**
 * Smallest and largest of the 1,986 women and 4,082 men of the public files of ANSUR II: every one of them is a
 * real adult, so none may be turned away.
 */
const SURVEYED: Readonly<Partial<Record<MeasureName, readonly [number, number]>>> = {
  stature: [1409, 1993],
  waistGirth: [611, 1379],
  hipGirth: [737, 1341],
  thighGirth: [412, 870],
  kneeGirth: [290, 600],
  calfGirth: [266, 523],
  ankleGirth: [156, 293],
  heelGirth: [258, 403],
  totalCrotchLength: [473, 799],
  backCrotchLength: [243, 468],
  insideLegLength: [610, 1031],
  waistHeight: [805, 1245],
  hipHeight: [656, 1080],
  kneeHeight: [346, 612],
};

describe('checkRanges', () => {
  it('has nothing to say about a plain body, complete or not', () => {
    expect(checkRanges(bodyOf(PLAIN))).toEqual([]);
    expect(checkRanges(bodyOf({ waistGirth: 740 }))).toEqual([]);
    expect(checkRanges(bodyOf({}))).toEqual([]);
  });

  it('lets every surveyed extreme in', () => {
    for (const [name, [minMm, maxMm]] of Object.entries(SURVEYED)) {
      expect(checkRanges(bodyOf({ [name]: minMm }))).toEqual([]);
      expect(checkRanges(bodyOf({ [name]: maxMm }))).toEqual([]);
    }
  });

  it('asks about a waist in inches and does not convert it', () => {
    expect(checkRanges(bodyOf({ ...PLAIN, waistGirth: 29 }))).toEqual([
      {
        pointer: '/measures/waistGirth',
        code: 'UNIT_DOUBTFUL',
        found: '29 mm',
        allowed: { min: 480, max: 1800, unit: 'mm' },
        message: 'The waist girth of 29 mm is below 480 mm; 29 in would be 737 mm.',
        action: 'If inches were meant send "29 in".',
      },
    ]);
  });

  it.each([
    ['centimetres', 74, /"74 cm"/],
    ['a digit too many', 7400, /send 740\./],
    ['either unit', 60, /"60 in"; if centimetres were meant send "60 cm"/],
  ])('asks about %s', (_, waistGirth, action) => {
    const [problem, ...others] = checkRanges(bodyOf({ ...PLAIN, waistGirth }));
    expect(others).toEqual([]);
    expect(problem).toMatchObject({ code: 'UNIT_DOUBTFUL', action: expect.stringMatching(action) });
  });

  it('never takes a measure in inches or centimetres for millimetres', () => {
    const arbSlip = fc.constantFrom(25.4, 10);
    fc.assert(
      fc.property(
        fc.constantFrom(...MEASURE_NAMES),
        arbSlip,
        fc.double({ min: 0, max: 1, noNaN: true }),
        (name, perUnit, share) => {
          const valueMm = RANGES[name].minMm + share * (RANGES[name].maxMm - RANGES[name].minMm);
          const problems = checkRanges(bodyOf({ [name]: valueMm / perUnit }));
          expect(problems).toHaveLength(1);
          expect(problems[0].code).toBe('UNIT_DOUBTFUL');
        },
      ),
    );
  });

  it('says that ranges are adult below them, and asks for the measure again', () => {
    const [problem] = checkRanges(bodyOf({ insideLegLength: 430 }));
    expect(problem).toMatchObject({
      code: 'MEASURE_OUT_OF_RANGE',
      action: expect.stringMatching(/ranges are adult/i),
    });
  });

  it.each<[string, Partial<Record<MeasureName, number>>, readonly string[]]>([
    ['waist at the hip', { hipHeight: 1040 }, ['waist height 1040 mm', 'hip height 1040 mm']],
    ['crotch far over the hip', { hipHeight: 700 }, ['inside leg length 765 mm', 'hip height 700 mm']],
    [
      'back as long as the whole',
      { backCrotchLength: 680, totalCrotchLength: 680 },
      ['back crotch length 680 mm'],
    ],
    ['knee over the crotch', { kneeHeight: 700, insideLegLength: 690 }, ['knee height 700 mm']],
    [
      'stature under the waist',
      { stature: 1300, waistHeight: 1310 },
      ['stature 1300 mm', 'waist height 1310 mm'],
    ],
    ['outside leg under the waist', { outsideLegLength: 1000 }, ['outside leg length 1000 mm']],
    ['breadth beyond half the girth', { hipBreadth: 500 }, ['hip breadth 500 mm', 'hip girth 1000 mm']],
    ['crotch length too short for the rise', { totalCrotchLength: 540 }, ['total crotch length 540 mm']],
  ])('names both measures of a contradiction: %s', (_, change, words) => {
    const problems = checkRanges(bodyOf({ ...PLAIN, ...change })).filter(
      ({ code }) => code === 'MEASURES_CONTRADICT',
    );
    expect(problems.length).toBeGreaterThan(0);
    for (const word of words) expect(problems.map(({ message }) => message).join()).toContain(word);
  });

  it('reports every problem at once', () => {
    const body = bodyOf({ ...PLAIN, waistGirth: 29, hipGirth: 39, kneeHeight: 700, insideLegLength: 690 });
    expect(checkRanges(body).map(({ pointer }) => pointer)).toEqual([
      '/measures/waistGirth',
      '/measures/hipGirth',
      '/measures/kneeHeight',
    ]);
  });

  it('does not compare a measure that is out of range', () => {
    const problems = checkRanges(bodyOf({ ...PLAIN, waistHeight: 40 }));
    expect(problems.map(({ code }) => code)).toEqual(['UNIT_DOUBTFUL']);
  });
});

const PLAIN = {
  waistGirth: 740,
  hipGirth: 1000,
  totalCrotchLength: 720,
  backCrotchLength: 410,
  waistHeight: 1040,
  hipHeight: 835,
  insideLegLength: 765,
  kneeHeight: 455,
};

function bodyOf(measures: Body['measures']): Body {
  return { ref: 'body 1', sex: 'female', insideLegTaken: 'taped', measures };
}
