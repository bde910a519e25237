import type { Recipe, Step } from '../recipe.js';
import { CLOSE, OUTSEAMS } from './shared-steps.js';

/* Recipes of seat and fork. Amounts and method: common practice, no source, unless a line says otherwise. */

function seat(sign: '' | '0 mm - '): Step[] {
  return [
    {
      guard:
        'min(front.sideWaist.y, back.sideWaist.y) >= level.hip + 60 mm and level.knee <= level.hip - 60 mm',
      level: 'refuse',
      code: 'SEAT_TOO_SHORT',
      message: 'Between waist and hip line there is no room to reshape the side seam.',
      action: 'Put this alteration before the one that lowers the waist.',
      place: { part: 'outseam' },
    },
    {
      do: 'shift seam',
      with: {
        seam: 'outseam',
        top: 'this.sideWaist.y',
        at: 'level.hip',
        by: `${sign}by / 4`,
        bottom: 'level.knee',
      },
    },
    OUTSEAMS,
    CLOSE,
    { do: 'measure across', with: { level: 'level.hip' }, as: 'hip' },
    { report: 'hip', value: '2 * (front.hip.width + back.hip.width)' },
  ];
}

export const SEAT_LET_OUT: Recipe = {
  name: 'seat-let-out',
  title: 'Let out the seat',
  summary: 'Lets the side seams out at the hip, fairly to waist and knee.',
  said: 'by {by}',
  parameters: [
    {
      name: 'by',
      quantity: 'length',
      default: 20,
      min: 0,
      max: 80,
      help: 'How much wider the whole hip becomes.',
    },
  ],
  steps: seat(''),
};

export const SEAT_TAKE_IN: Recipe = {
  name: 'seat-take-in',
  title: 'Take in the seat',
  summary: 'Takes the side seams in at the hip, fairly to waist and knee.',
  said: 'by {by}',
  parameters: [
    {
      name: 'by',
      quantity: 'length',
      default: 20,
      min: 0,
      max: 80,
      help: 'How much narrower the whole hip becomes.',
    },
  ],
  steps: [
    ...seat('0 mm - '),
    {
      guard: 'not body.hipKnown or 2 * (front.hip.width + back.hip.width) >= body.hip + 10 mm',
      level: 'stop',
      code: 'HIP_TOO_SMALL',
      message:
        'The finished hip has {2 * (front.hip.width + back.hip.width) - body.hip} of ease; 10 mm are needed.',
      action: 'Take the seat in by less.',
      of: 'by',
      place: { part: 'hip' },
      numbers: { easeMm: '2 * (front.hip.width + back.hip.width) - body.hip' },
    },
  ],
};

export const GUSSET: Recipe = {
  name: 'gusset',
  title: 'Gusset',
  summary: 'Leaves both inseams open below the fork and sets a diamond in.',
  said: 'side {side}, {across} across',
  parameters: [
    {
      name: 'side',
      quantity: 'length',
      default: 100,
      min: 50,
      max: 180,
      help: 'Side of the diamond: how far each inseam stays open below the fork.',
    },
    {
      name: 'across',
      quantity: 'length',
      default: 80,
      min: 20,
      max: 200,
      help: 'How far the diamond reaches from the front rise to the back rise: what the way through the fork gains.',
    },
  ],
  steps: [
    {
      guard: 'side <= 0.4 * min(front.inseam.length, back.inseam.length)',
      level: 'refuse',
      code: 'GUSSET_TOO_LONG',
      message:
        'A gusset of {side} would reach too far down an inseam of {min(front.inseam.length, back.inseam.length)}.',
      action: 'Make its side {allowed}.',
      of: 'side',
      allowed: { max: '0.4 * min(front.inseam.length, back.inseam.length)' },
      place: { part: 'inseam' },
    },
    {
      guard: 'across <= 1.8 * side',
      level: 'refuse',
      code: 'GUSSET_TOO_FLAT',
      message: 'A diamond with sides of {side} cannot be {across} across and still be sewn.',
      action: 'Make it {allowed} across, or its sides longer.',
      of: 'across',
      allowed: { max: '1.8 * side' },
      place: { part: 'fork' },
    },
    CLOSE,
    { do: 'set notch', with: { seam: 'inseam', end: 'start', by: 'side', name: 'gusset' } },
    {
      do: 'add piece',
      with: { name: 'Gusset', shape: 'diamond', length: 'side', width: 'across', sewnTo: 'fork', count: '1' },
    },
    { report: 'gusset length', value: '2 * sqrt(side * side - across * across / 4)' },
    { report: 'crotch path', value: 'front.rise.length + back.rise.length + across' },
  ],
};
