import type { Recipe } from '../recipe.js';
import { CLOSE, footFindings } from './shared-steps.js';

/* Recipes of what a leg ends in. Amounts and method: common practice, no source, unless a line says otherwise. */

export const CUFF: Recipe = {
  name: 'cuff',
  title: 'Rib or cuff hem',
  summary: 'Cuts the leg off by the height of a cuff and adds the cuff, stretched on.',
  said: 'height {height}, {ratio} of the hem',
  parameters: [
    {
      name: 'height',
      quantity: 'length',
      default: 60,
      min: 20,
      max: 150,
      help: 'Finished height of the cuff.',
    },
    {
      name: 'ratio',
      quantity: 'ratio',
      default: 0.8,
      min: 0.6,
      max: 1,
      help: 'Length of the cuff as a share of the hem it is sewn to; 0.75 to 0.85 for rib, 1 for cloth.',
    },
    {
      name: 'stretch',
      quantity: 'ratio',
      default: 0.6,
      min: 0,
      max: 1.5,
      help: 'How far the rib gives, as a share of its length; 0 for cloth.',
    },
  ],
  steps: [
    { let: 'newHem', is: 'level.hem + height' },
    {
      guard: 'newHem <= level.knee - 60 mm and min(front.fork.y, back.fork.y) - newHem >= 120 mm',
      level: 'refuse',
      code: 'CUFF_TOO_HIGH',
      message: 'Under a cuff of {height} there is no leg left to sew it to.',
      action: 'Make the cuff {allowed} high, or crop less.',
      otherwise: 'Crop less; no cuff fits on this leg.',
      of: 'height',
      allowed: {
        min: '0 mm',
        max: 'min(level.knee - 60 mm, min(front.fork.y, back.fork.y) - 120 mm) - level.hem',
      },
      place: { part: 'hem' },
    },
    { do: 'set length', with: { level: 'newHem' } },
    { do: 'match seam', with: { seam: 'inseam', way: 'by-fullness' } },
    CLOSE,
    { let: 'cuffLength', is: 'ratio * (front.hem.length + back.hem.length)' },
    {
      do: 'add piece',
      with: {
        name: 'Cuff',
        shape: 'folded-strip',
        length: 'cuffLength',
        width: '2 * height',
        sewnTo: 'hem',
        count: '2',
      },
    },
    {
      guard: 'not body.heelKnown or cuffLength * (1 + stretch) >= body.heel + 10 mm',
      level: 'stop',
      code: 'CUFF_TOO_NARROW_FOR_FOOT',
      message:
        'Stretched, the cuff is {body.heel + 10 mm - cuffLength * (1 + stretch)} too narrow for the foot.',
      action: 'Use a rib that gives more, a longer cuff, or one with an opening.',
      of: 'ratio',
      place: { part: 'hem' },
      numbers: { shortMm: 'body.heel + 10 mm - cuffLength * (1 + stretch)' },
    },
    ...footFindings('yes'),
    { report: 'cuff', value: 'cuffLength' },
  ],
};

export const TURN_UP: Recipe = {
  name: 'turn-up',
  title: 'Turn-up',
  summary: 'Draws a turn-up on below the hem, as wide as the leg it lies on.',
  said: 'of {depth}',
  parameters: [
    {
      name: 'depth',
      quantity: 'length',
      default: 40,
      min: 15,
      max: 100,
      help: 'Finished height of the turn-up.',
    },
  ],
  steps: [
    {
      guard:
        'level.hem + depth <= min(front.fork.y, back.fork.y) - 60 mm and level.hem + depth <= level.knee - 20 mm',
      level: 'refuse',
      code: 'TURN_UP_TOO_HIGH',
      message: 'A turn-up of {depth} would reach the knee.',
      action: 'Ask for a turn-up {allowed}, or crop less.',
      of: 'depth',
      allowed: { max: 'level.knee - 20 mm - level.hem' },
      place: { part: 'hem' },
    },
    { do: 'turn up hem', with: { depth: 'depth' } },
    CLOSE,
    { report: 'added length', value: 'front.inseam.length - block.front.inseam.length' },
  ],
};
