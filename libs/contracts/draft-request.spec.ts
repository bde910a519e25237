import { describe, expect, it } from '@jest/globals';
import { FITTING_DEFAULTS } from '#fitting';
import { readDraftRequestWith } from './index.js';
import { BLOCK, BODY, fromBody, MEASURES, read } from '../../test/support/draft-requests.js';

describe('readDraftRequest', () => {
  it('fills in every default of the contract', () => {
    expect(read(fromBody({ alterations: [{ use: 'drop-crotch' }] }))).toEqual({
      body: { ref: 'order 1042', sex: 'female', insideLegTaken: 'taped', measures: MEASURES },
      block: 'from-body',
      ease: { name: 'regular', overrides: {} },
      alterations: [
        {
          use: 'drop-crotch',
          with: {
            drop: { share: 0.5 },
            frontRiseExtension: 15,
            backRiseExtension: 10,
            hemIn: 19,
            crop: 0,
            waist: 'restore',
            inseamTruing: 'copy-front',
            hemOpening: 'closed',
          },
        },
      ],
      outputs: ['proof', 'pattern'],
      confirm: [],
    });
  });

  it('leaves the waist of a given block as the method makes it', () => {
    const request = read(fromBody({ block: BLOCK, alterations: [{ use: 'drop-crotch' }] }));
    expect(request.alterations[0].with['waist']).toBe('leave');
  });

  it('fits a given block by the defaults of a shop that says nothing, and then restores its waist', () => {
    const request = read(fromBody({ block: BLOCK, fit: 'to-body', alterations: [{ use: 'drop-crotch' }] }));
    expect(request.fitting).toEqual(FITTING_DEFAULTS);
    expect(request.alterations[0].with['waist']).toBe('restore');
  });

  it('fits a stored block that is named by its id', () => {
    const sent = { body: BODY, blockId: 'blk_1', fit: 'to-body', fitting: { limits: { seam: 30 } } };
    const result = readDraftRequestWith(sent, { block: BLOCK });
    expect(result.ok && result.request.fitting?.limits.seamMm).toBe(30);
  });

  it('takes the weights and limits of a shop, and leaves the others as they are', () => {
    const fitting = {
      weights: { hip: { centreBack: 0 }, knee: { frontInseam: 2.5 } },
      limits: { seam: '1 1/2 in', seatAngle: 5 },
    };
    const request = read(fromBody({ block: BLOCK, fit: 'to-body', fitting }));
    expect(request.fitting?.weights.hip).toEqual({ ...FITTING_DEFAULTS.weights.hip, centreBack: 0 });
    expect(request.fitting?.weights.knee).toEqual({ ...FITTING_DEFAULTS.weights.knee, frontInseam: 2.5 });
    expect(request.fitting?.limits).toEqual({ ...FITTING_DEFAULTS.limits, seamMm: 38.1, seatDeg: 5 });
  });

  it('keeps the line of a block unless the measures are asked for', () => {
    const asked = (fitting: unknown): string | undefined =>
      read(fromBody({ block: BLOCK, fit: 'to-body', fitting })).fitting?.keep;
    expect(asked({})).toBe('line');
    expect(asked({ keep: 'measures' })).toBe('measures');
  });

  it('reads lengths as people write them', () => {
    const amounts = { drop: '8 in', frontRiseExtension: '5/8 in', hemIn: '1.9 cm', crop: '-20 mm' };
    const request = read(
      fromBody({
        body: { ...BODY, measures: { ...MEASURES, waistGirth: '29 1/8 in', hipGirth: '100 cm' } },
        ease: { name: 'easy', waist: '1 in' },
        cloth: { width: '59 in', repeat: '8 cm' },
        alterations: [{ use: 'drop-crotch', with: amounts }],
      }),
    );
    expect(request.body.measures).toMatchObject({ waistGirth: 739.775, hipGirth: 1000 });
    expect(request.ease).toEqual({ name: 'easy', overrides: { waist: 25.4 } });
    expect(request.cloth).toEqual({ widthMm: 1498.6, repeatMm: 80 });
    expect(request.alterations[0].with).toMatchObject({
      drop: 203.2,
      frontRiseExtension: 15.875,
      hemIn: 19,
      crop: -20,
    });
  });

  it('reads a given block edge by edge, a polyline side by side', () => {
    const { block } = read(fromBody({ block: BLOCK }));
    if (block === 'from-body') throw new Error('the block was given');
    expect(block.levels).toEqual({ hip: 835, crotch: 746, knee: 455, hem: 30 });
    expect(block.waistbandMm).toBe(760);
    expect(block.pieces.map(({ role }) => role)).toEqual(['front', 'back']);
    expect(block.pieces[0].edges.map(({ role, curve }) => `${role} ${curve.kind}`)).toEqual([
      'rise line',
      'inseam cubic',
    ]);
    expect(block.pieces[0].lines[0].curves).toHaveLength(2);
    expect(block.pieces[0].notches).toEqual([{ edge: 1, fromStartMm: 100, kind: 'slit' }]);
  });

  it('keeps the outputs in one order, each once', () => {
    expect(read(fromBody({ outputs: ['pattern', 'proof', 'pattern'] })).outputs).toEqual([
      'proof',
      'pattern',
    ]);
  });
});
