import { describe, expect, it } from '@jest/globals';
import { figureLines } from './figure-lines.js';

describe('figureLines', () => {
  it('says the main figures of the garment and whether it sews together', () => {
    const draft = {
      measures: { waist: { drafted: 755.04 }, knee: { drafted: 440 } },
      moved: [{}, {}],
      fit: [{ body: 740 }],
    };
    const truing = { seams: [{ seam: 'inseam', difference: -0.4 }], corners: [{}, {}], sewable: true };
    expect(figureLines(JSON.stringify(draft), JSON.stringify(truing))).toEqual([
      'The pattern measures: waist 755.0 mm.',
      '2 steps moved something, each listed with its amount.',
      '1 seams and 2 corners were checked: it sews together; the largest seam difference is 0.40 mm.',
    ]);
  });

  it('says no more than the files hold', () => {
    expect(figureLines(undefined, undefined)).toEqual([]);
    expect(figureLines('{"measures":{}}', '{"seams":[],"corners":[],"sewable":false}')).toEqual([
      '0 seams and 0 corners were checked: it does not sew together yet; the largest seam difference is 0.00 mm.',
    ]);
  });
});
