import type { Recipe, Step } from '../recipe.js';
import { CLOSE, OUTSEAMS, SEAM, SEAM_BEFORE } from './shared-steps.js';

/*
 * Recipes of the waist: its girth, its height, what it ends in. Amounts and method: common practice, no source, unless a
 * line says otherwise.
 */

/** A finished waist has at least this much over the body. */
const WAIST_EASE: Step = {
  guard: `not body.waistKnown or 2 * (${SEAM}) >= body.waist + 10 mm`,
  level: 'stop',
  code: 'WAIST_TOO_SMALL',
  message: `The finished waist has {2 * (${SEAM}) - body.waist} of ease; 10 mm are needed.`,
  action: 'Let the waist out, or use a block with more waist ease.',
  place: { part: 'waist' },
  numbers: { easeMm: `2 * (${SEAM}) - body.waist` },
};

const CENTRE_BACK = {
  name: 'centreBack',
  quantity: 'ratio',
  default: 0.5,
  min: 0,
  max: 1,
  help: 'The share that the centre back seam takes; darts and side seams take the rest.',
} as const;

export const WAIST_LET_OUT: Recipe = {
  name: 'waist-let-out',
  title: 'Let out the waist',
  summary: 'Lets the waist out at the centre back first, then at darts and side seams.',
  said: 'by {by}, {centreBack} of it at the centre back',
  parameters: [
    {
      name: 'by',
      quantity: 'length',
      default: 20,
      min: 0,
      max: 80,
      help: 'How much wider the whole waist becomes.',
    },
    CENTRE_BACK,
  ],
  steps: [
    { do: 'swing centre', on: 'back', with: { by: 'centreBack * by / 2' } },
    { do: 'resize waist', with: { to: `${SEAM_BEFORE} + by / 2`, darts: 'release', band: 'follows' } },
    OUTSEAMS,
    CLOSE,
    { report: 'waist', value: `2 * (${SEAM})` },
  ],
};

export const WAIST_TAKE_IN: Recipe = {
  name: 'waist-take-in',
  title: 'Take in the waist',
  summary: 'Takes the waist in at the centre back first, then at the side seams.',
  said: 'by {by}, {centreBack} of it at the centre back',
  parameters: [
    {
      name: 'by',
      quantity: 'length',
      default: 4,
      min: 0,
      max: 80,
      help: 'How much narrower the whole waist becomes.',
    },
    CENTRE_BACK,
  ],
  steps: [
    { do: 'swing centre', on: 'back', with: { by: '0 mm - centreBack * by / 2' } },
    { do: 'resize waist', with: { to: `${SEAM_BEFORE} - by / 2`, darts: 'hold', band: 'follows' } },
    OUTSEAMS,
    CLOSE,
    {
      ...WAIST_EASE,
      message: `Taken in by {by} the finished waist has {2 * (${SEAM}) - body.waist} of ease; 10 mm are needed.`,
      action: 'Take the waist in by less.',
      of: 'by',
    },
    { report: 'waist', value: `2 * (${SEAM})` },
  ],
};

export const LOW_RISE: Recipe = {
  name: 'low-rise',
  title: 'Low rise',
  summary: 'Lowers the waist parallel to itself; darts are cut to what is left of them.',
  said: 'waist {by} lower',
  parameters: [
    { name: 'by', quantity: 'length', default: 30, min: 0, max: 120, help: 'How far the waist goes down.' },
  ],
  steps: [
    { do: 'move waist', with: { by: '0 mm - by' } },
    { do: 'resize waist', with: { to: SEAM, darts: 'close-small', band: 'stays' } },
    OUTSEAMS,
    CLOSE,
    {
      guard: 'not band.given',
      level: 'info',
      code: 'BAND_CHANGED',
      message: 'The band that came with the block was cut for its old waist.',
      action: 'Cut the band {band.length} long.',
      place: { part: 'waist' },
    },
    { do: 'lay fly', with: { grow: 'max(0.6, front.rise.length / block.front.rise.length)' } },
    { report: 'waist', value: `2 * (${SEAM})` },
    { report: 'front rise', value: 'front.rise.length' },
  ],
};

export const HIGH_RISE: Recipe = {
  name: 'high-rise',
  title: 'High rise',
  summary: 'Raises the waist parallel to itself and gives it the girth of the body there.',
  said: 'waist {by} higher[, {wider} wider there]',
  parameters: [
    { name: 'by', quantity: 'length', default: 40, min: 0, max: 120, help: 'How far the waist goes up.' },
    {
      name: 'wider',
      quantity: 'length',
      default: 0,
      min: 0,
      max: 120,
      help: 'How much wider the body is at the new waist than at the old one; measure it there.',
    },
  ],
  steps: [
    { do: 'move waist', with: { by: 'by' } },
    {
      do: 'resize waist',
      with: {
        to: 'block.front.waist.length + block.back.waist.length + wider / 2',
        darts: 'release',
        band: 'follows',
      },
    },
    OUTSEAMS,
    CLOSE,
    { do: 'lay fly', with: { grow: 'front.rise.length / block.front.rise.length' } },
    {
      guard: 'wider > 0 mm or by <= 20 mm',
      level: 'info',
      code: 'NEW_WAIST_NOT_MEASURED',
      message: 'The waist {by} above the old one was made as wide as the old one.',
      action: 'Measure the body at the new waist and give the difference as "wider".',
      of: 'wider',
      place: { part: 'waist' },
    },
    { report: 'waist', value: `2 * (${SEAM})` },
    { report: 'front rise', value: 'front.rise.length' },
  ],
};

export const PULL_ON: Recipe = {
  name: 'pull-on',
  title: 'Elastic casing waist',
  summary: 'Opens the waist until it passes the hip, without darts or fly, and adds a casing for elastic.',
  said: 'elastic {elastic} wide, waist {over} over the hip',
  parameters: [
    { name: 'elastic', quantity: 'length', default: 35, min: 10, max: 80, help: 'Width of the elastic.' },
    {
      name: 'over',
      quantity: 'length',
      default: 30,
      min: 10,
      max: 120,
      help: 'How much wider than the body at the hip the open waist is.',
    },
    {
      name: 'strength',
      quantity: 'ratio',
      default: 0.9,
      min: 0.7,
      max: 1,
      help: 'Length of the elastic as a share of the waist; 0.85 to 0.95 by its strength.',
    },
    {
      name: 'centre',
      quantity: 'ratio',
      default: 0.8,
      min: 0,
      max: 1,
      help: 'How far the centre seams are set upright: 0 leaves them as they lean, 1 sets them upright over the hip.',
    },
  ],
  steps: [
    { do: 'measure across', with: { level: 'level.hip' }, as: 'hip' },
    { let: 'hipSeam', is: 'front.hip.width + back.hip.width' },
    // Without the body's hip the block's own, less the usual ease of 40 mm, stands in for it.
    { let: 'opening', is: 'if(body.hipKnown, body.hip, 2 * hipSeam - 40 mm) + over' },
    { let: 'missing', is: 'max(0 mm, opening / 2 - front.waist.length - back.waist.length)' },
    { let: 'byDarts', is: 'front.dartIntake + back.dartIntake' },
    { do: 'point on seam', with: { seam: 'rise', level: 'level.hip' }, as: 'centreHip' },
    { let: 'front.lean', is: 'max(0 mm, front.centreHip.x - front.centreWaist.x)' },
    { let: 'back.lean', is: 'max(0 mm, back.centreHip.x - back.centreWaist.x)' },
    // The centres give no more than darts leave missing, and in the measure in which they lean.
    { let: 'byCentres', is: 'max(0 mm, min(centre * (front.lean + back.lean), missing - byDarts))' },
    {
      do: 'swing centre',
      with: { by: 'byCentres * this.lean / max(1 mm, front.lean + back.lean)' },
    },
    {
      do: 'resize waist',
      with: { to: 'max(opening / 2, front.waist.length + back.waist.length)', darts: 'close', band: 'stays' },
    },
    OUTSEAMS,
    CLOSE,
    { do: 'lay fly', with: { grow: '0' } },
    {
      do: 'add piece',
      with: {
        name: 'Elastic casing',
        shape: 'folded-strip',
        length: '2 * (front.waist.length + back.waist.length)',
        width: '2 * (elastic + 3 mm)',
        sewnTo: 'waist',
        count: '1',
      },
    },
    {
      guard: 'not block.band.given',
      level: 'info',
      code: 'BAND_REPLACED',
      message: 'The band that came with the block is replaced by the casing.',
      action: 'Do not cut the band.',
      place: { part: 'waist' },
    },
    { report: 'waist open', value: `2 * (${SEAM})` },
    { report: 'elastic', value: 'strength * body.waist' },
  ],
};
