import { describe, expect, it } from '@jest/globals';
import { draftBlock } from '#drafting';
import { easeFor } from '#fit';
import { distance, endDirection, startDirection } from '#geometry';
import { completeMeasures } from '#measurements';
import { cornersOf, edgesOf, seamLengthMm, waistGirthMm, type Block } from '#pattern';
import { builtInRecipe, runRecipe } from '#recipes';
import { TRADE_RULES, trueBlock } from '#truing';
import { correctBlock, type BlockCorrection } from './correct-block.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { WORKED_BODY } from '../../test/support/worked-body.js';

const TOLERANCES = { lengthMm: 0.01 };
const PRECISE_MM = 0.001;

const BLOCKS = [WORKED_BODY, ...surveyBodies().filter((_, i) => i % 12 === 0)].flatMap((body) => {
  const ease = easeFor('regular', body.insideLegTaken, {});
  const drafted = draftBlock(completeMeasures(body).measures, ease, 0.004);
  return drafted.state === 'refused' ? [] : [drafted.block];
});

const CORRECTIONS: readonly BlockCorrection[] = [
  { use: 'waist', byMm: -10 },
  { use: 'waist', byMm: 14 },
  { use: 'centre-back', byMm: 8 },
  { use: 'centre-back', byMm: -6 },
];

describe('correctBlock', () => {
  it.each(CORRECTIONS)('leaves a block that sews: $use $byMm', (correction) => {
    expect(BLOCKS.length).toBeGreaterThan(5);
    for (const block of BLOCKS) {
      const { block: after, refused } = correct(block, correction);
      expect(refused).toBe(false);
      const { sewable, corners } = trueBlock(after, TRADE_RULES, []);
      expect(sewable).toBe(true);
      for (const { at, deviation } of corners)
        if (!at.endsWith('Hem')) expect(Math.abs(deviation)).toBeLessThan(0.05);
    }
  });

  it('changes the waist by what it was told and nothing else of the leg', () => {
    for (const block of BLOCKS) {
      const { block: after } = correct(block, { use: 'waist', byMm: -10 });
      expect(waistGirthMm(after, PRECISE_MM) - waistGirthMm(block, PRECISE_MM)).toBeCloseTo(-10, 2);
      for (const role of ['front', 'back'] as const) {
        for (const seam of ['inseam', 'hem', 'rise'] as const)
          expect(seamLengthMm(after[role], seam, PRECISE_MM)).toBeCloseTo(
            seamLengthMm(block[role], seam, PRECISE_MM),
            2,
          );
      }
    }
  });

  it('carries centre back up its own rise, and the waist keeps its girth', () => {
    for (const block of BLOCKS) {
      const { block: after } = correct(block, { use: 'centre-back', byMm: 8 });
      const was = cornersOf(block.back).centreWaist;
      const is = cornersOf(after.back).centreWaist;
      expect(distance(was, is)).toBeCloseTo(8, 6);
      expect(
        seamLengthMm(after.back, 'rise', PRECISE_MM) - seamLengthMm(block.back, 'rise', PRECISE_MM),
      ).toBeCloseTo(8, 2);
      expect(waistGirthMm(after, PRECISE_MM)).toBeCloseTo(waistGirthMm(block, PRECISE_MM), 2);
      const [rise] = edgesOf(after.back, 'rise');
      const waist = edgesOf(after.back, 'waist').at(-1);
      if (waist === undefined) throw new Error('a block without a waist');
      const [a, b] = [startDirection(rise.curve), endDirection(waist.curve)];
      expect(a.x * b.x + a.y * b.y).toBeCloseTo(0, 6);
    }
  });

  it('is taken by a style after it', () => {
    for (const block of BLOCKS) {
      const both = CORRECTIONS.slice(0, 1)
        .concat(CORRECTIONS[2])
        .reduce((from, correction) => correct(from, correction).block, block);
      const wearer = { heelGirthMm: 300, pointer: '' };
      const recipe = builtInRecipe('drop-crotch');
      if (recipe === undefined) throw new Error('the drop-crotch comes with the service');
      const dropped = runRecipe(recipe, {}, both, wearer, TOLERANCES);
      expect(dropped.refused).toBe(false);
      expect(trueBlock(dropped.block, TRADE_RULES, []).sewable).toBe(true);
    }
  });

  it('says what it did, and changes the band that came with a block', () => {
    const band = { ...BLOCKS[0], waistbandMm: 755 };
    const { block, findings, moved } = correct(band, { use: 'waist', byMm: -10 });
    expect(block.waistbandMm).toBe(745);
    expect(findings).toMatchObject([{ code: 'CORRECTED', level: 'info', numbers: { byMm: -10 } }]);
    expect(moved[0]).toMatchObject({ operation: 'fitting correction', part: 'waist', byMm: -10 });
  });
});

function correct(block: Block, correction: BlockCorrection) {
  return correctBlock(block, correction, '/body/corrections/0', TOLERANCES);
}
