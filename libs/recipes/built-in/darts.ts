import type { Recipe } from '../recipe.js';
import { CLOSE, OUTSEAMS, SEAM } from './shared-steps.js';

/* Recipes of darts and pleats. Amounts and method: common practice, no source, unless a line says otherwise. */

export const FRONT_PLEATS: Recipe = {
  name: 'front-pleats',
  title: 'Front pleats',
  summary: 'Spreads the front from the crease to the side and folds the spread away in one or two pleats.',
  said: 'first {first}[, second {second}]',
  parameters: [
    {
      name: 'first',
      quantity: 'length',
      default: 35,
      min: 10,
      max: 80,
      help: 'All that the pleat at the crease folds away, twice what is seen of it.',
    },
    {
      name: 'second',
      quantity: 'length',
      default: 0,
      min: 0,
      max: 60,
      help: 'All that a second pleat folds away; 0 for none.',
    },
    {
      name: 'apart',
      quantity: 'length',
      default: 45,
      min: 20,
      max: 90,
      help: 'How far the second pleat lies from the first, towards the side, before they are folded.',
    },
  ],
  steps: [
    {
      guard: 'second = 0 mm or second >= 10 mm',
      level: 'refuse',
      code: 'PLEAT_TOO_SMALL',
      message: 'A second pleat that folds {second} away cannot be laid.',
      action: 'Give it at least 10 mm, or 0 for none.',
      of: 'second',
      allowed: { min: '10 mm' },
      place: { piece: 'front', part: 'waist' },
    },
    { do: 'fold pleat', on: 'front', with: { beside: '0 mm', depth: 'first', hinge: 'level.knee' } },
    {
      when: 'second > 0 mm',
      steps: [
        {
          do: 'fold pleat',
          on: 'front',
          with: { beside: 'first + apart', depth: 'second', hinge: 'level.knee' },
        },
      ],
    },
    OUTSEAMS,
    CLOSE,
    { do: 'measure across', on: 'front', with: { level: 'level.hip' }, as: 'hip' },
    { report: 'front hip', value: 'front.hip.width' },
  ],
};

export const DART_MOVED: Recipe = {
  name: 'dart-moved',
  title: 'Dart moved',
  summary: 'Turns the back dart about its point to another place of the waist.',
  said: '{by} towards the side',
  needs: { darts: ['back'] },
  parameters: [
    {
      name: 'by',
      quantity: 'length',
      default: 15,
      min: -60,
      max: 60,
      help: 'How far along the waist, towards the side; negative towards the centre.',
    },
    {
      name: 'dart',
      quantity: 'ratio',
      default: 1,
      min: 1,
      max: 2,
      help: 'Which back dart, counted from the side seam.',
    },
  ],
  steps: [
    { do: 'pivot dart', on: 'back', with: { dart: 'dart', by: 'by' } },
    CLOSE,
    { report: 'waist', value: `2 * (${SEAM})` },
  ],
};

export const DART_TO_EASE: Recipe = {
  name: 'dart-to-ease',
  title: 'Dart turned into ease',
  summary: 'Removes the front darts: part is eased into the band, the rest goes at the side seams.',
  said: '{ease} of the waist eased in',
  needs: { darts: ['front'] },
  parameters: [
    {
      name: 'ease',
      quantity: 'ratio',
      default: 0.015,
      min: 0,
      max: 0.025,
      help: 'How much longer than its band the waist seam may be, as a share of the band.',
    },
  ],
  steps: [
    { let: 'waistBefore', is: SEAM },
    { let: 'eased', is: 'min(ease * waistBefore, front.dartIntake)' },
    { do: 'resize waist', with: { to: 'waistBefore + eased', darts: 'close-front', band: 'stays' } },
    OUTSEAMS,
    CLOSE,
    {
      guard: 'eased <= 0 mm',
      level: 'info',
      code: 'EASE_INTO_BAND',
      message: 'The waist seam is {2 * eased} longer than its band is to be.',
      action: 'Cut the band {2 * waistBefore} long and ease the front into it between side seam and crease.',
      place: { part: 'waist' },
      numbers: { easedMm: '2 * eased' },
    },
    { report: 'band', value: '2 * waistBefore' },
  ],
};
