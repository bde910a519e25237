import { describe, expect, it } from '@jest/globals';
import { completeMeasures } from '#measurements';
import { WORKED_BODY } from '../../test/support/worked-body.js';
import {
  fitFigures,
  halfStepRad,
  leastGirths,
  legLiftMm,
  STEP_SHARE_OF_STATURE,
  type FitGarment,
} from './index.js';

const BODY = completeMeasures(WORKED_BODY).measures;

/** A plain trouser for a waist of 740, a hip of 1000, a thigh of 585, a knee of 370. */
const PLAIN: FitGarment = {
  waistMm: 755,
  hipMm: 1040,
  forkMm: 665,
  kneeMm: 440,
  calfMm: 420,
  hemMm: 378,
  frontRiseMm: 315,
  backRiseMm: 425,
  inseamMm: 710,
  forkLevelMm: 735,
  hemLevelMm: 30,
  openingMm: 170,
  hem: 'closed',
  stretchPercent: 0,
};

describe('fitFigures', () => {
  it('has a figure for every level of a plain trouser, with the number behind each state', () => {
    expect(figuresOf({}).map(({ name, valueMm, state }) => [name, Math.round(valueMm), state])).toEqual([
      ['waistEase', 15, 'green'],
      ['hipEase', 40, 'green'],
      ['thighEase', 80, 'green'],
      ['kneeEase', 70, 'green'],
      ['calfEase', 60, 'green'],
      ['crotchEase', 20, 'green'],
      // 15 + 60 + 25 less a quarter circle of 120.
      ['sitting', -88, 'green'],
      ['footEntry', 68, 'green'],
      // 755 and both edges of a 170 mm opening.
      ['waistEntry', 95, 'green'],
    ]);
  });

  it.each<[string, Partial<FitGarment>, string, string]>([
    ['a waist at the body', { waistMm: 741 }, 'waistEase', 'amber'],
    ['a waist under the body', { waistMm: 739 }, 'waistEase', 'red'],
    ['a hip under the least of woven cloth', { hipMm: 1020 }, 'hipEase', 'amber'],
    ['a rise that cuts in', { backRiseMm: 380 }, 'crotchEase', 'red'],
    ['a rise that hangs', { backRiseMm: 460 }, 'crotchEase', 'amber'],
    ['a hem that the foot passes barely', { hemMm: 325 }, 'footEntry', 'amber'],
    ['a hem narrower than the foot', { hemMm: 312 }, 'footEntry', 'red'],
    ['a waist without enough opening', { openingMm: 100 }, 'waistEntry', 'red'],
  ])('finds %s', (_, change, name, state) => {
    expect(figuresOf(change).find((figure) => figure.name === name)).toMatchObject({ state });
  });

  it('is green at the least girths and amber a millimetre under any of them', () => {
    const { waist, hip, thigh, knee, hem } = leastGirths(BODY);
    const least = { waistMm: waist, hipMm: hip, forkMm: thigh, kneeMm: knee, hemMm: hem };
    const pairs = [
      ['waistEase', 'waistMm'],
      ['hipEase', 'hipMm'],
      ['thighEase', 'forkMm'],
      ['kneeEase', 'kneeMm'],
      ['footEntry', 'hemMm'],
    ] as const;
    for (const [figure, girth] of pairs) {
      const stateOf = (change: Partial<FitGarment>): string | undefined =>
        figuresOf({ ...least, ...change }).find(({ name }) => name === figure)?.state;
      expect(stateOf({})).toBe('green');
      expect(stateOf({ [girth]: least[girth] - 1 })).toBe('amber');
    }
  });

  it('lets stretch stand for ease, and a cuff that gives for an opening', () => {
    const tight = { hipMm: 980, hemMm: 300 };
    const states = (stretchPercent: number) =>
      figuresOf({ ...tight, stretchPercent })
        .filter(({ name }) => name === 'hipEase' || name === 'footEntry')
        .map(({ state }) => state);
    expect(states(0)).toEqual(['red', 'red']);
    expect(states(10)).toEqual(['green', 'green']);
  });

  it('leaves out the foot where the hem opens and the calf where the leg ends above it', () => {
    const names = figuresOf({ hem: 'open', calfMm: undefined }).map(({ name }) => name);
    expect(names).not.toContain('footEntry');
    expect(names).not.toContain('calfEase');
  });

  // Every leg 480 mm round at a fork lowered by nine tenths of the way to the knee, without widening: the step is
  // 661 of the 714 mm of a stature of 1660 (derived; thigh 585 stands for the leg here, so it is less still).
  it('flags a fork that was lowered without widening', () => {
    const lowered = { forkLevelMm: 483, forkMm: 480, inseamMm: 453 };
    const figures = figuresOf(lowered);
    expect(figures.find(({ name }) => name === 'stepRoom')?.state).toBe('red');
    // A straight inseam has nothing to spare, and the hem rides up.
    expect(figures.find(({ name }) => name === 'legLift')?.state).toBe('red');
    expect(figures.find(({ name }) => name === 'forkBelowBody')?.valueMm).toBe(282);
  });

  it('gives every figure a caveat in words', () => {
    for (const { caveat } of figuresOf({ forkLevelMm: 600 })) expect(caveat).toMatch(/^[A-Z].*\.$/);
  });
});

describe('legLiftMm', () => {
  const stepMm = STEP_SHARE_OF_STATURE * 1_660;

  // Computed on survey bodies: 21 to 32 mm at half of the way to the knee, 42 to 64 at nine tenths.
  it.each([
    [180, 21, 32],
    [297, 42, 64],
  ])('is of the size found on surveyed bodies, %i mm below the crotch', (belowCrotchMm, least, most) => {
    const mm = legLiftMm({ legLengthMm: 780, belowCrotchMm, turnRad: halfStepRad(stepMm, 780) });
    expect(mm).toBeGreaterThan(least);
    expect(mm).toBeLessThan(most);
  });

  // By coordinates instead of the law of cosines: the fork on the plumb line, the ankle on its circle.
  it('agrees with the two points laid out', () => {
    const [legLengthMm, belowCrotchMm, turnRad] = [780, 300, Math.PI / 4];
    const ankle = { x: legLengthMm * Math.sin(turnRad), y: -legLengthMm * Math.cos(turnRad) };
    const apartMm = Math.hypot(ankle.x, ankle.y + belowCrotchMm);
    expect(legLiftMm({ legLengthMm, belowCrotchMm, turnRad })).toBeCloseTo(apartMm - 480, 9);
  });

  it('is nothing for a fork at the crotch and for a leg that hangs', () => {
    expect(legLiftMm({ legLengthMm: 780, belowCrotchMm: 0, turnRad: 0.5 })).toBeCloseTo(0, 9);
    expect(legLiftMm({ legLengthMm: 780, belowCrotchMm: 250, turnRad: 0 })).toBeCloseTo(0, 9);
  });
});

function figuresOf(change: Partial<FitGarment>) {
  return fitFigures(BODY, { ...PLAIN, ...change });
}
