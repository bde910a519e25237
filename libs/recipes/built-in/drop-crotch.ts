import type { Recipe } from '../recipe.js';
import { hemGuards, riseGuards, squareGuards, waistGuards } from './drop-crotch-guards.js';
import { backKept, frontCopied } from './drop-crotch-inseams.js';
import { levels, planned, USUAL_HEM_IN_MM } from './drop-crotch-plan.js';

/**
 * The drop-crotch trouser.
 *
 * A cutter's steps, in this order because each needs the one before: set the length, draw the new fork level and both
 * rises to it, take the hem in, draw the front inseam and copy it to the back, straighten the outseams and make the back
 * as long as the front, blend the waist into the raised centres and give back what it lost.
 *
 * Source  method and default amounts: common practice, no source; that both inseams leave the fork at 90 degrees less
 *         the mean lean of the rises is derived: only then do the two corners sum to a straight line once sewn.
 */
export const DROP_CROTCH: Recipe = {
  name: 'drop-crotch',
  title: 'Drop-crotch',
  summary: 'Lowers the fork, lengthens both rises and redraws the inseams.',
  said: 'drop {drop}, rises +{frontRiseExtension} and +{backRiseExtension}, hem in {hemIn}[, cropped by {crop}], waist {waist}[, inseams {inseamTruing}][, hem {hemOpening}]',
  unit: 'mm',
  parameters: [
    {
      name: 'drop',
      quantity: 'length',
      shareOf: 'level.crotch - level.knee',
      shareWords: 'of the way from crotch line to knee line',
      default: 0.5,
      min: 0,
      max: 1,
      lengthMax: 800,
      help: 'How far the fork goes down: a share of the way from crotch line to knee line, or a length as text.',
    },
    {
      name: 'frontRiseExtension',
      quantity: 'length',
      default: 15,
      min: 0,
      max: 100,
      help: 'How far the front rise is carried on above the waist.',
    },
    {
      name: 'backRiseExtension',
      quantity: 'length',
      default: 10,
      min: 0,
      max: 100,
      help: 'How far the back rise is carried on above the waist.',
    },
    {
      name: 'hemIn',
      quantity: 'length',
      default: USUAL_HEM_IN_MM,
      min: 0,
      max: 150,
      help: 'How far each hem goes in at the inseam; less where the foot would not pass.',
    },
    {
      name: 'crop',
      quantity: 'length',
      default: 0,
      min: -200,
      max: 600,
      help: 'How much shorter the leg becomes, longer when negative.',
    },
    {
      name: 'waist',
      oneOf: ['restore', 'leave'],
      default: 'restore',
      defaultAsIs: 'leave',
      help: "Whether the waist seam is brought back to the block's length.",
    },
    {
      name: 'inseamTruing',
      oneOf: ['copy-front', 'keep-back'],
      default: 'copy-front',
      help: 'Whose shape the back inseam has.',
    },
    {
      name: 'hemOpening',
      oneOf: ['closed', 'open'],
      default: 'closed',
      help: 'Open where a vent, a zip or a rib lets the foot through; the hem may then be narrower than the foot.',
    },
  ],
  steps: [
    ...levels(),
    ...planned(),
    { do: 'redraw seam', with: { seam: 'rise', from: 'this.raised', to: 'newFork' } },
    { when: "inseamTruing = 'copy-front'", steps: frontCopied() },
    { when: "inseamTruing = 'keep-back'", steps: backKept() },
    { do: 'straighten outseam', with: { to: 'block.level.crotch', fairTo: 'level.hip' } },
    { do: 'match seam', with: { seam: 'outseam', way: 'by-the-side-waist' } },
    { do: 'blend waist', with: { centre: 'this.raised', fork: 'newFork' } },
    {
      when: "waist = 'restore'",
      steps: [
        {
          do: 'resize waist',
          with: { to: 'block.front.waist.length + block.back.waist.length', darts: 'release', band: 'stays' },
        },
      ],
    },
    { do: 'close up', with: { crotch: 'fork' } },
    { do: 'lay fly', with: { grow: 'front.rise.length / block.front.rise.length' } },
    ...waistGuards(),
    ...squareGuards(),
    ...riseGuards(),
    ...hemGuards(),
    { report: 'fork', value: 'drop' },
    { report: 'inseam', value: 'front.inseam.length' },
  ],
};
