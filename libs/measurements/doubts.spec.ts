import { describe, expect, it } from '@jest/globals';
import { disagreements } from './agreement.js';
import { DOUBT_CODE, MEASURE_NAMES, questionsOf, remarksOf, type Body, type Sex } from './index.js';
import { judgeProportions } from './proportions.js';

/** Round numbers, no person: the worked example's body. */
const PLAIN = {
  waistGirth: 740,
  hipGirth: 1000,
  thighGirth: 585,
  kneeGirth: 370,
  calfGirth: 360,
  heelGirth: 310,
  totalCrotchLength: 720,
  backCrotchLength: 410,
  waistHeight: 1040,
  hipHeight: 835,
  insideLegLength: 765,
  kneeHeight: 455,
  stature: 1660,
};

describe('questionsOf', () => {
  it.each<Sex>(['female', 'male', 'unspecified'])('asks nothing of a plain body of sex %s', (sex) => {
    expect(questionsOf(bodyOf(PLAIN, sex))).toEqual([]);
  });

  it('names both measures, the limits of the survey and where the body stands among it', () => {
    expect(questionsOf(bodyOf({ ...PLAIN, thighGirth: 750 }))).toEqual([
      {
        pointer: '/measures/thighGirth',
        code: DOUBT_CODE,
        found: 'thigh girth 750 mm, hip girth 1000 mm',
        allowed: { form: '0.533 to 0.687, or confirmed' },
        message:
          'Thigh girth as a share of hip girth is 0.75; above all of the 662 women of the survey ANSUR II (2012).',
        action:
          'Take thigh girth and hip girth again; if they are right send "confirm": ["MEASURES_DOUBTFUL"].',
      },
    ]);
  });

  it('asks whether front and back were exchanged, and refuses nobody for it', () => {
    const [question, ...others] = questionsOf(bodyOf({ ...PLAIN, backCrotchLength: 358 }));
    expect(others).toEqual([]);
    expect(question).toMatchObject({ code: DOUBT_CODE, pointer: '/measures/backCrotchLength' });
    // 1 % of the survey's women have 18 mm more in front than behind, and 5 % have less behind than 8 mm more.
    expect(question.message).toMatch(/no longer than the front, as on [1-4] % of the 662 women/);
    expect(question.action).toMatch(/front and back were not exchanged/);
  });

  it('says which measure was meant when two digits were exchanged', () => {
    const [question] = questionsOf(bodyOf({ ...PLAIN, heelGirth: 301, kneeGirth: 370, stature: 1606 }));
    expect(question).toBeUndefined();
    const [slipped] = questionsOf(bodyOf({ ...PLAIN, calfGirth: 630 }));
    expect(slipped.action).toMatch(/if two digits were exchanged send 360/);
  });

  it('blames the one measure that is wrong and not its neighbours', () => {
    const questions = questionsOf(bodyOf({ ...PLAIN, waistHeight: 1115 }));
    expect(new Set(questions.map(({ code }) => code))).toEqual(new Set([DOUBT_CODE]));
    expect(questions.some(({ found }) => found.includes('1115'))).toBe(true);
    expect(questions.some(({ pointer }) => /Girth/.test(pointer))).toBe(false);
  });

  it('leaves a number that is no body measure to the ranges', () => {
    expect(questionsOf(bodyOf({ ...PLAIN, waistGirth: 29 }))).toEqual([]);
  });
});

describe('remarksOf', () => {
  it('says the same of a drafted body without a measure in it', () => {
    const odd = bodyOf({ ...PLAIN, thighGirth: 750, heelGirth: 395 });
    const remarks = remarksOf(odd);
    expect(remarks.map(({ code }) => code)).toEqual([DOUBT_CODE, DOUBT_CODE]);
    for (const { message, action } of remarks) {
      for (const name of MEASURE_NAMES)
        expect(`${message} ${action}`).not.toContain(String(odd.measures[name]));
    }
  });

  it('points out what only one or two in a hundred have', () => {
    const remarks = remarksOf(bodyOf({ ...PLAIN, waistGirth: 710 }));
    expect(remarks).toMatchObject([{ code: 'MEASURES_UNUSUAL', measures: ['waistGirth', 'hipGirth'] }]);
    expect(remarks[0].message).toMatch(/below 99\.\d % of the 662 women/);
  });
});

describe('judgeProportions', () => {
  // ANSUR II, all 1,986 women and 4,082 men: first and ninety-ninth percentile; the table holds every third row.
  it.each([
    ['waistToHip', 'female', 0.723, 0.992],
    ['waistToHip', 'male', 0.804, 1.059],
    ['thighToHip', 'female', 0.558, 0.649],
    ['thighToHip', 'male', 0.56, 0.662],
    ['kneeToCrotch', 'female', 0.547, 0.605],
    ['kneeToCrotch', 'male', 0.546, 0.612],
  ] as const)('has the %s of %s end where the whole survey has it', (name, sex, first, last) => {
    const { usual } = judged(bodyOf(PLAIN, sex), name);
    expect(Math.abs(usual.min - first)).toBeLessThan(0.006);
    expect(Math.abs(usual.max - last)).toBeLessThan(0.006);
  });

  it('puts the survey’s median in the middle', () => {
    // Medians of all 1,986 women.
    const median = bodyOf({ waistHeight: 980, insideLegLength: 782 });
    expect(judged({ ...median, insideLegTaken: 'pressed' }, 'rise').percentile).toBeCloseTo(50, -1);
  });

  it('compares a taped inside leg as pressing would have read it', () => {
    const taped = judged(bodyOf(PLAIN), 'rise').value;
    expect(judged({ ...bodyOf(PLAIN), insideLegTaken: 'pressed' }, 'rise').value - taped).toBe(20);
  });
});

describe('disagreements', () => {
  // Regression of one normal variable on another: mean + r s / s' (x' - mean'), standard deviation s sqrt(1 - r^2).
  // Hip and thigh girth of the women in survey-table.ts: r .9293.
  it('gives what a straight line through two measures gives', () => {
    const [found] = disagreements(bodyOf({ hipGirth: 1020.1, thighGirth: 715.2 }), 3.75);
    const sdMm = 52.58 * Math.sqrt(1 - 0.9293 ** 2);
    expect(found).toMatchObject({ measure: 'thighGirth' });
    expect(found.likelyMm).toBeCloseTo(615.2, 6);
    expect(found.sdMm).toBeCloseTo(sdMm, 6);
    expect(found.deviations).toBeCloseTo(100 / sdMm, 6);
  });

  it('has nothing to hold a single measure against', () => {
    expect(disagreements(bodyOf({ waistGirth: 1700 }), 0)).toEqual([]);
  });
});

function judged(body: Body, name: string) {
  const found = judgeProportions(body).find((one) => one.name === name);
  if (found === undefined) throw new Error(`${name} was not judged`);
  return found;
}

function bodyOf(measures: Body['measures'], sex: Sex = 'female'): Body {
  return { ref: 'body 1', sex, insideLegTaken: 'taped', measures };
}
