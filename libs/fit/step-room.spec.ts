import { describe, expect, it } from '@jest/globals';
import { girthForStepMm, stepLengthMm, STEP_SHARE_OF_STATURE } from './index.js';

// A narrow skirt: 950 mm round at the knee, leg girth 370 there, 385 mm below a hip joint 840 mm high.
// Common practice, no source: such a skirt needs a vent to walk in.
const SKIRT = { legGirthMm: 370, belowHipJointMm: 385, legLengthMm: 840 };
const STEP_MM = STEP_SHARE_OF_STATURE * 1_660;

describe('step room', () => {
  it('says that a narrow skirt is too narrow to walk in', () => {
    const stepMm = stepLengthMm({ ...SKIRT, garmentGirthMm: 950 });
    expect(stepMm).toBeCloseTo(633, 0);
    expect(stepMm).toBeLessThan(STEP_MM);
  });

  it('says how wide it would have to be', () => {
    expect(girthForStepMm(SKIRT, STEP_MM)).toBeCloseTo(1_024, 0);
  });

  // Another way to the same number: the tape round two discs is two straights and one whole circle.
  it('agrees with laying a tape round two legs', () => {
    const girthMm = 1_200;
    const stepMm = stepLengthMm({ ...SKIRT, garmentGirthMm: girthMm });
    const apartMm = 2 * 385 * (stepMm / (2 * 840));
    const radiusMm = 370 / (2 * Math.PI);
    expect(2 * apartMm + 2 * Math.PI * radiusMm).toBeCloseTo(girthMm, 9);
  });

  it('is nothing, never negative, where the legs alone fill the cloth', () => {
    expect(stepLengthMm({ ...SKIRT, garmentGirthMm: 300 })).toBe(0);
  });
});
