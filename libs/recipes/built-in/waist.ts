import type { Recipe, Step } from '../recipe.js';

/*
 * Recipes of waist, seat and fork. Amounts and method: common practice, no source, unless a line says otherwise.
 */

const CLOSE: Step = { do: 'close up' };
const OUTSEAMS: Step = { do: 'match seam', with: { seam: 'outseam', way: 'by-the-side-waist' } };
const SEAM = 'front.waist.length + back.waist.length';
const SEAM_BEFORE = 'block.front.waist.length + block.back.waist.length';

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

export const WAIST_RECIPES: readonly Recipe[] = [
  PULL_ON,
  HIGH_RISE,
  LOW_RISE,
  GUSSET,
  FRONT_PLEATS,
  WAIST_LET_OUT,
  WAIST_TAKE_IN,
  SEAT_LET_OUT,
  SEAT_TAKE_IN,
  DART_MOVED,
  DART_TO_EASE,
];
