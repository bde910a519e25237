import { describe, expect, it } from '@jest/globals';
import { FINISH_DEFAULTS } from '#finishing';
import { fromBody, read } from '../../test/support/draft-requests.js';

describe('a request that asks for cut pieces', () => {
  it.each(['sheet', 'tiles-a4', 'dxf', 'plot'])('finishes them by default for the output %s', (output) => {
    const { finish } = read(fromBody({ outputs: [output] }));
    expect(finish).toEqual({
      rules: FINISH_DEFAULTS,
      paper: 'roll-914',
      tileArea: 'page',
      dxf: { profile: 'astm', units: 'metric' },
    });
  });

  it('leaves a draft of seam lines alone', () => {
    expect(read(fromBody({ outputs: ['proof', 'pattern', 'bundle'] })).finish).toBeUndefined();
  });

  it('takes lengths with their units and fills in the rest', () => {
    const sent = { allowances: { inseam: '5/8 in', hem: '4 cm' }, notch: { kind: 'v' } };
    const rules = read(fromBody({ finish: sent })).finish?.rules;
    // 5/8 inch is 15.875 mm exactly.
    expect(rules?.allowances.inseamMm).toBe(15.875);
    expect(rules?.allowances).toMatchObject({ hemMm: 40, outseamMm: FINISH_DEFAULTS.allowances.outseamMm });
    expect(rules?.notch).toEqual({ kind: 'v', depthMm: FINISH_DEFAULTS.notch.depthMm });
  });

  it('takes shrinkage in percent', () => {
    const { cloth } = read(fromBody({ cloth: { name: 'denim', shrinkage: { warp: 3, weft: -1 } } }));
    expect(cloth).toEqual({ name: 'denim', shrinkage: { warp: 0.03, weft: -0.01 } });
  });
});
