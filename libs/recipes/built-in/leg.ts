import type { AmountParameter, Recipe, Step } from '../recipe.js';
import { CLOSE, footFindings, OUTSEAMS, taperReduced } from './shared-steps.js';

/*
 * Recipes of the leg: its length and its width below the hip. Amounts and method: common practice, no
 * source, unless a line says otherwise.
 */

/** Both outseams have the same levels and amounts, but not the same curve above: the back gives at its side waist. */
const MATCH_BOTH: readonly Step[] = [
  { do: 'match seam', with: { seam: 'inseam', way: 'by-fullness' } },
  OUTSEAMS,
];

const HEM_FINDINGS: readonly Step[] = [
  { let: 'hemGirth', is: 'front.hem.length + back.hem.length' },
  ...footFindings("hemOpening = 'closed'"),
  {
    guard: "hemOpening = 'open' or not body.heelKnown or hemGirth >= body.heel + 9.99 mm",
    level: 'stop',
    code: 'HEM_TOO_NARROW_FOR_FOOT',
    message: 'The hem of {hemGirth} is {body.heel + 10 mm - hemGirth} too narrow for the foot.',
    action:
      'Give the hem an opening (vent, zip or placket), or leave it {body.heel + 10 mm - hemGirth} wider.',
    of: 'hemOpening',
    place: { part: 'hem' },
    numbers: { hemMm: 'hemGirth', shortMm: 'body.heel + 10 mm - hemGirth' },
  },
];

const HEM_OPENING = {
  name: 'hemOpening',
  oneOf: ['closed', 'open'],
  default: 'closed',
  help: 'Open where a vent, a zip or a rib lets the foot through; the hem may then be narrower than the foot.',
} as const;

/** A shorter inseam leaves no room to walk, and below the knee the seams have to be drawn to something. */
function lengthGuards(): Step[] {
  return [
    {
      guard: 'newHem <= level.knee - 60 mm',
      level: 'refuse',
      code: 'CROP_TOO_SHORT',
      message: 'The hem would lie {level.knee - newHem} below the knee line; 60 mm are needed.',
      action: 'Crop {allowed}.',
      of: 'by',
      allowed: { max: 'level.knee - 60 mm - level.hem' },
      numbers: { hemBelowKneeMm: 'level.knee - newHem' },
    },
    {
      guard: 'min(front.fork.y, back.fork.y) - newHem >= 180 mm',
      level: 'refuse',
      code: 'INSEAM_TOO_SHORT',
      message:
        'From fork to hem only {min(front.fork.y, back.fork.y) - newHem} would be left; 180 mm are needed.',
      action: 'Crop {allowed}.',
      of: 'by',
      allowed: { max: 'min(front.fork.y, back.fork.y) - 180 mm - level.hem' },
      numbers: { inseamHeightMm: 'min(front.fork.y, back.fork.y) - newHem' },
    },
  ];
}

/** At the calf a cropped leg of woven cloth must pass the calf and 20 mm. */
const CALF_FINDING: Step = {
  guard: 'not body.calfKnown or hemGirth >= body.calf + 20 mm or level.hem <= level.knee - 200 mm',
  level: 'warning',
  code: 'HEM_TIGHT_ON_CALF',
  message: 'The hem ends at the calf and has {hemGirth - body.calf} of ease there; 20 mm are needed.',
  action: 'Widen the leg, crop more or less, or give the hem an opening.',
  place: { part: 'hem' },
  numbers: { easeMm: 'hemGirth - body.calf' },
};

export const CROP: Recipe = {
  name: 'crop',
  title: 'Crop',
  summary: 'Cuts the leg off at a higher hem.',
  said: 'by {by}[, hem {hemOpening}]',
  parameters: [
    {
      name: 'by',
      quantity: 'length',
      default: 100,
      min: 0,
      max: 600,
      help: 'How much shorter the leg becomes.',
    },
    HEM_OPENING,
  ],
  steps: [
    { let: 'newHem', is: 'level.hem + by' },
    ...lengthGuards(),
    { do: 'set length', with: { level: 'newHem' } },
    { do: 'match seam', with: { seam: 'inseam', way: 'by-fullness' } },
    CLOSE,
    ...HEM_FINDINGS,
    CALF_FINDING,
    { report: 'hem', value: 'hemGirth' },
    { report: 'inseam', value: 'front.inseam.length' },
  ],
};

export const LENGTHEN: Recipe = {
  name: 'lengthen',
  title: 'Lengthen',
  summary: 'Carries the leg on straight to a lower hem.',
  said: 'by {by}[, hem {hemOpening}]',
  parameters: [
    {
      name: 'by',
      quantity: 'length',
      default: 30,
      min: 0,
      max: 200,
      help: 'How much longer the leg becomes.',
    },
    HEM_OPENING,
  ],
  steps: [
    { do: 'set length', with: { level: 'level.hem - by' } },
    { do: 'match seam', with: { seam: 'inseam', way: 'by-fullness' } },
    CLOSE,
    {
      guard: 'level.hem >= 0 mm',
      level: 'warning',
      code: 'HEM_BELOW_FLOOR',
      message: 'The hem lies {0 mm - level.hem} below the floor.',
      action: 'Lengthen by {by + level.hem} at most, unless the trouser is worn over a heel.',
      of: 'by',
      place: { part: 'hem' },
      numbers: { belowFloorMm: '0 mm - level.hem' },
    },
    ...HEM_FINDINGS,
    { report: 'inseam', value: 'front.inseam.length' },
  ],
};

function girth(name: string, preset: number, max: number, help: string): AmountParameter {
  return { name, quantity: 'length', default: preset, min: 0, max, help };
}

/** Every side and inseam edge goes the same way by a quarter of what the girth changes. */
function legShifted(at: string, by: string, hemBy: string): Step[] {
  return [
    { do: 'shift seam', with: { seam: 'inseam', top: 'this.fork.y', at, by, hemBy } },
    { do: 'shift seam', with: { seam: 'outseam', top: 'level.crotch', at, by, hemBy } },
  ];
}

const NARROW_HEM: Step = {
  guard: 'min(front.hem.length, back.hem.length) - hemBy / 2 >= 60 mm',
  level: 'refuse',
  code: 'HEM_WIDTH_TOO_SMALL',
  message:
    'The narrower hem would be {min(front.hem.length, back.hem.length) - hemBy / 2} wide; 60 mm are needed.',
  action: 'Take the hem in {allowed}.',
  otherwise: 'Leave the hem as it is; it is too narrow to be taken in.',
  of: 'hemBy',
  allowed: { min: '0 mm', max: '2 * (min(front.hem.length, back.hem.length) - 60 mm)' },
  place: { part: 'hem' },
  numbers: { hemMm: 'min(front.hem.length, back.hem.length) - hemBy / 2' },
};

/** The fork lies well above the knee, and the knee above the hem, or there is no room to be drawn fairly in. */
const LEG_ROOM: Step = {
  guard: 'min(front.fork.y, back.fork.y) >= level.knee + 40 mm and level.knee >= level.hem + 40 mm',
  level: 'refuse',
  code: 'LEG_TOO_SHORT_TO_RESHAPE',
  message: 'Between fork, knee and hem there is no room to reshape the leg.',
  action: 'Lower the fork less, or crop less; 40 mm are needed above and below the knee.',
  place: { part: 'inseam' },
};

/** How much narrower a tapered hem becomes where nobody says otherwise; common practice, no source. */
const USUAL_TAPER_MM = 20;

export const TAPER: Recipe = {
  name: 'taper',
  title: 'Taper',
  summary: 'Takes the leg in at knee and hem, equally at inseam and outseam.',
  said: 'hem {hemBy} narrower, knee {kneeBy} narrower[, hem {hemOpening}]',
  parameters: [
    girth(
      'hemBy',
      USUAL_TAPER_MM,
      160,
      'How much narrower the whole hem becomes; less where the foot would not pass.',
    ),
    girth('kneeBy', 10, 80, 'How much narrower the leg becomes at the knee.'),
    HEM_OPENING,
  ],
  steps: [
    LEG_ROOM,
    NARROW_HEM,
    {
      let: 'taken',
      is: "if(hemOpening = 'closed' and body.heelKnown, min(hemBy, max(0 mm, front.hem.length + back.hem.length - body.heel - 10 mm)), hemBy)",
    },
    ...taperReduced(
      { asked: 'hemBy', taken: 'taken', usualMm: USUAL_TAPER_MM },
      {
        message: 'The hem becomes {taken} narrower instead of {hemBy}, so that the foot passes.',
        action: 'For the full taper give the hem an opening, such as a vent, a zip or a rib.',
        numbers: { askedMm: 'hemBy', takenMm: 'taken' },
      },
    ),
    ...legShifted('level.knee', '0 mm - kneeBy / 4', '0 mm - taken / 4'),
    ...MATCH_BOTH,
    CLOSE,
    { do: 'measure across', with: { level: 'level.knee' }, as: 'knee' },
    {
      guard: 'not body.kneeKnown or front.knee.width + back.knee.width >= body.knee + 20 mm',
      level: 'warning',
      code: 'KNEE_TIGHT',
      message:
        'The knee has {front.knee.width + back.knee.width - body.knee} of ease; 20 mm are needed to bend it in woven cloth.',
      action: 'Take the knee in by less, or use a cloth that stretches.',
      of: 'kneeBy',
      place: { part: 'knee' },
      numbers: { easeMm: 'front.knee.width + back.knee.width - body.knee' },
    },
    ...HEM_FINDINGS,
    { report: 'hem', value: 'hemGirth' },
    { report: 'knee', value: 'front.knee.width + back.knee.width' },
  ],
};

export const WIDEN: Recipe = {
  name: 'widen',
  title: 'Widen',
  summary: 'Lets the leg out at knee and hem, equally at inseam and outseam.',
  said: 'knee {kneeBy} wider, hem {hemBy} wider',
  parameters: [
    girth('kneeBy', 40, 160, 'How much wider the leg becomes at the knee.'),
    girth('hemBy', 40, 320, 'How much wider the whole hem becomes.'),
  ],
  steps: [
    LEG_ROOM,
    ...legShifted('level.knee', 'kneeBy / 4', 'hemBy / 4'),
    ...MATCH_BOTH,
    CLOSE,
    { do: 'measure across', with: { level: 'level.knee' }, as: 'knee' },
    { report: 'hem', value: 'front.hem.length + back.hem.length' },
    { report: 'knee', value: 'front.knee.width + back.knee.width' },
  ],
};

/**
 * The flare begins 50 mm above the knee and takes 100 mm to turn. Over that way the seam leaves its old line as a
 * parabola, which reaches the straight line below at half of what that line would have gained by then.
 */
export const FLARE: Recipe = {
  name: 'flare',
  title: 'Flare',
  summary: 'Lets the leg out from just above the knee to the hem.',
  said: 'hem {hemBy} wider from {above} above the knee',
  parameters: [
    girth('hemBy', 120, 400, 'How much wider the whole hem becomes.'),
    {
      name: 'above',
      quantity: 'length',
      default: 50,
      min: 0,
      max: 150,
      help: 'How far above the knee the flare begins.',
    },
  ],
  steps: [
    { let: 'start', is: 'level.knee + above' },
    { let: 'straight', is: 'start - 100 mm' },
    {
      guard: 'straight >= level.hem + 60 mm and start <= min(front.fork.y, back.fork.y) - 40 mm',
      level: 'refuse',
      code: 'NO_ROOM_FOR_FLARE',
      message: 'Between {start} and the hem at {level.hem} there is no room for a flare.',
      action: 'Crop less, lower the fork less, or begin the flare {allowed} above the knee.',
      of: 'above',
      allowed: {
        min: 'max(0 mm, level.hem + 160 mm - level.knee)',
        max: 'min(front.fork.y, back.fork.y) - 40 mm - level.knee',
      },
      otherwise: 'Crop less or lower the fork less; no flare fits on this leg.',
      place: { part: 'inseam' },
    },
    { let: 'atStraight', is: 'hemBy / 4 * 50 mm / (start - 50 mm - level.hem)' },
    {
      do: 'shift seam',
      with: { seam: 'inseam', top: 'start', at: 'straight', by: 'atStraight', hemBy: 'hemBy / 4' },
    },
    {
      do: 'shift seam',
      with: { seam: 'outseam', top: 'start', at: 'straight', by: 'atStraight', hemBy: 'hemBy / 4' },
    },
    ...MATCH_BOTH,
    CLOSE,
    { report: 'hem', value: 'front.hem.length + back.hem.length' },
  ],
};

export const LEG_RECIPES: readonly Recipe[] = [CROP, LENGTHEN, TAPER, WIDEN, FLARE];
