import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { checkRanges, completeMeasures, MEASURE_NAMES, NEEDED_MEASURES, RANGES } from './index.js';
import type { Body, MeasureName, Sex } from './index.js';

describe('completeMeasures', () => {
  // Means of all 1,986 women and 4,082 men of the public files of ANSUR II; the table was fitted on a third of
  // them. A straight line goes through the mean of what it was fitted on.
  it.each([
    [
      'female',
      {
        waistGirth: 860.9,
        hipGirth: 1021.2,
        totalCrotchLength: 620.8,
        waistHeight: 980.1,
        insideLegLength: 782.3,
      },
      {
        thighGirth: 616.1,
        kneeGirth: 400.7,
        calfGirth: 373.3,
        ankleGirth: 215.7,
        heelGirth: 310.3,
        backCrotchLength: 341.9,
        hipHeight: 833.7,
        kneeHeight: 449.0,
        stature: 1628.5,
      },
    ],
    [
      'male',
      {
        waistGirth: 940.6,
        hipGirth: 1019.5,
        totalCrotchLength: 622.3,
        waistHeight: 1056.5,
        insideLegLength: 845.9,
      },
      {
        thighGirth: 625.1,
        kneeGirth: 409.3,
        calfGirth: 392.3,
        ankleGirth: 229.3,
        heelGirth: 343.5,
        backCrotchLength: 355.9,
        hipHeight: 887.9,
        kneeHeight: 488.4,
        stature: 1756.2,
      },
    ],
  ] as const)('gives the mean %s body its own mean measures', (sex, needed, expected) => {
    const { measures } = completeMeasures(bodyOf(sex, needed));
    for (const [name, meanMm] of Object.entries(expected)) {
      // The standard error of a mean of 662 with a deviation of 25 is 1 mm; three of them.
      expect(Math.abs(measures[name as MeasureName] - meanMm)).toBeLessThanOrEqual(3);
    }
  });

  it('misses sixty real bodies by as much as it says it will', () => {
    const squares = surveyedBodies().flatMap((body) => {
      const needed = Object.fromEntries(NEEDED_MEASURES.map((name) => [name, body.measures[name]]));
      return completeMeasures({ ...body, measures: needed }).estimates.flatMap(
        ({ measure, valueMm, sdMm }) => {
          const taken = body.measures[measure];
          return taken === undefined ? [] : [((valueMm - taken) / sdMm) ** 2];
        },
      );
    });
    expect(squares).toHaveLength(60 * 9);
    const rms = Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / squares.length);
    expect(rms).toBeGreaterThan(0.85);
    expect(rms).toBeLessThan(1.15);
  });

  it('lays the outside leg straight over the hip and down', () => {
    // Waist 1040 and hip 835 high, half the breadths 50 apart: the hypotenuse of 50 and 205, and 835 below.
    const measures = { ...plainNeeded(), hipHeight: 835, hipBreadth: 345, waistBreadth: 245 };
    const completed = completeMeasures(bodyOf('female', measures));
    expect(completed.measures.outsideLegLength).toBeCloseTo(1046.0095, 4);
    expect(completed.measures.trochanterHeight).toBe(835);
  });

  it('leaves a complete body as it is', () => {
    const { measures } = completeMeasures(bodyOf('female', plainNeeded()));
    expect(completeMeasures(bodyOf('female', measures))).toEqual({ measures, estimates: [] });
  });

  it('names what an estimate was made from, and where it was held', () => {
    const { estimates } = completeMeasures(bodyOf('female', plainNeeded()));
    const estimated = new Set(estimates.map(({ measure }) => measure));
    expect(estimated).toEqual(new Set(MEASURE_NAMES.filter((name) => !(name in plainNeeded()))));
    expect(estimates[0].from).toMatch(/waist girth.*662 women.*ANSUR II/);
    // A crotch 10 mm below the waist: the line puts the hip outside that gap.
    const squeezed = completeMeasures(bodyOf('male', { ...plainNeeded(), insideLegLength: 1030 })).estimates;
    expect(squeezed.find(({ measure }) => measure === 'hipHeight')?.from).toMatch(/held at 10\d\d/);
  });

  it('keeps the estimates of every admitted body in the order bodies have', () => {
    const arbNeeded = fc.record(
      Object.fromEntries(
        NEEDED_MEASURES.map((name) => [
          name,
          fc.integer({ min: RANGES[name].minMm, max: RANGES[name].maxMm }),
        ]),
      ),
    );
    const arbSex = fc.constantFrom<Sex>('female', 'male', 'unspecified');
    fc.assert(
      fc.property(arbNeeded, arbSex, (needed, sex) => {
        fc.pre(checkRanges(bodyOf(sex, needed)).length === 0);
        const { measures } = completeMeasures(bodyOf(sex, needed));
        expect(measures.hipHeight).toBeLessThan(measures.waistHeight);
        expect(measures.hipHeight).toBeGreaterThanOrEqual(measures.insideLegLength);
        expect(measures.kneeHeight).toBeLessThan(measures.insideLegLength);
        expect(measures.backCrotchLength).toBeLessThan(measures.totalCrotchLength);
        expect(measures.thighGirth).toBeLessThan(measures.hipGirth);
        expect(measures.outsideLegLength).toBeGreaterThanOrEqual(measures.waistHeight - 1e-9);
      }),
    );
  });

  it('throws when a needed measure is missing, and keeps the values out of the error', () => {
    const { hipGirth: _, ...rest } = plainNeeded();
    expect(() => completeMeasures(bodyOf('female', rest))).toThrow(
      'NEEDED_MEASURE_MISSING {"missing":["hipGirth"]}',
    );
  });
});

function plainNeeded() {
  return { waistGirth: 740, hipGirth: 1000, totalCrotchLength: 720, waistHeight: 1040, insideLegLength: 765 };
}

function bodyOf(sex: Sex, measures: Body['measures']): Body {
  return { ref: 'body 1', sex, insideLegTaken: 'pressed', measures };
}

/** Sixty bodies of ANSUR II (public domain), every so many rows of the public files. */
function surveyedBodies(): Body[] {
  const text = readFileSync(new URL('../../../examples/bodies.csv', import.meta.url), 'utf8');
  const [header, ...rows] = text.trim().split('\n');
  const [, , ...names] = header.split(',');
  return rows.map((row) => {
    const [ref, sex, ...values] = row.split(',');
    const measures = Object.fromEntries(names.map((name, i) => [name, Number(values[i])]));
    return { ref, sex: sex as Sex, insideLegTaken: 'pressed', measures };
  });
}
