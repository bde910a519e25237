import type { Recipe, Step } from '../recipe.js';

const NO_DROP =
  'No drop fits between fork and knee of this block at this length; crop less or use a block with a longer thigh.';
const DROP_RANGE = { min: 'smallestDrop', max: 'largestDrop' };

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
      default: 19,
      min: 0,
      max: 150,
      help: 'How far each hem goes in at the inseam.',
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
    ...riseGuards(),
    ...hemGuards(),
    { report: 'fork', value: 'drop' },
    { report: 'inseam', value: 'front.inseam.length' },
  ],
};

function levels(): Step[] {
  return [
    { let: 'fork', is: 'level.crotch - drop' },
    { let: 'newHem', is: 'level.hem + crop' },
    { let: 'lowestFork', is: 'min(front.fork.y, back.fork.y)' },
    // The smallest must lie truly below; rounding to the next tenth of a millimetre does it.
    { let: 'smallestDrop', is: 'level.crotch - lowestFork + 1.000001 mm' },
    { let: 'largestDrop', is: 'level.crotch - max(level.knee + 10 mm, newHem + 180 mm)' },
    { let: 'largestCrop', is: 'min(fork - 180 mm, level.knee - 60 mm) - level.hem' },
    ...dropGuards(),
    ...lengthGuards(),
  ];
}

function dropGuards(): Step[] {
  return [
    {
      guard: 'fork < lowestFork - 1 mm',
      level: 'refuse',
      code: 'DROP_TOO_SMALL',
      message:
        'The drop of {drop} would not lie below the back fork, which is {level.crotch - lowestFork} below the crotch line.',
      action: 'Ask for a drop {allowed}.',
      otherwise: NO_DROP,
      of: 'drop',
      allowed: DROP_RANGE,
      numbers: { dropMm: 'drop', smallestDropMm: 'smallestDrop' },
    },
    {
      guard: 'fork >= level.knee + 10 mm',
      level: 'refuse',
      code: 'DROP_BELOW_KNEE',
      message:
        'The drop of {drop} would end {fork - level.knee} above the knee line; it must stay 10 mm above it.',
      action: 'Ask for a drop {allowed}.',
      otherwise: NO_DROP,
      of: 'drop',
      allowed: DROP_RANGE,
      numbers: { dropMm: 'drop', largestDropMm: 'largestDrop' },
    },
  ];
}

function lengthGuards(): Step[] {
  return [
    {
      guard: 'fork - newHem >= 180 mm or (crop <= 0 mm and smallestDrop <= largestDrop)',
      level: 'refuse',
      code: 'INSEAM_TOO_SHORT',
      message: 'From fork to hem only {fork - newHem} would be left; 180 mm are needed.',
      action: 'Crop {allowed}, or ask for a smaller drop.',
      of: 'crop',
      allowed: { max: 'largestCrop' },
      numbers: {
        inseamHeightMm: 'fork - newHem',
        largestDropMm: 'largestDrop',
        largestCropMm: 'largestCrop',
      },
    },
    {
      guard: 'fork - newHem >= 180 mm or crop > 0 mm or smallestDrop > largestDrop',
      level: 'refuse',
      code: 'INSEAM_TOO_SHORT',
      message: 'From fork to hem only {fork - newHem} would be left; 180 mm are needed.',
      action: 'Ask for a drop {allowed}, or lengthen the leg.',
      of: 'drop',
      allowed: DROP_RANGE,
      numbers: {
        inseamHeightMm: 'fork - newHem',
        largestDropMm: 'largestDrop',
        largestCropMm: 'largestCrop',
      },
    },
    {
      guard: 'newHem <= level.knee - 60 mm',
      level: 'refuse',
      code: 'CROP_TOO_SHORT',
      message: 'The hem would lie {level.knee - newHem} below the knee line; the taper needs 60 mm below it.',
      action: 'Crop {allowed}.',
      of: 'crop',
      allowed: { max: 'largestCrop' },
      numbers: { hemBelowKneeMm: 'level.knee - newHem', largestCropMm: 'largestCrop' },
    },
  ];
}

/** Points and directions found on the block before anything is redrawn. */
function planned(): Step[] {
  return [
    { let: 'calf', is: '(level.knee + newHem) / 2' },
    {
      do: 'point on seam',
      on: 'back',
      with: { seam: 'inseam', level: 'max(calf, level.hem)' },
      as: 'calfBefore',
    },
    { let: 'hemStep', is: 'back.hemInseam.x - front.hemInseam.x' },
    { when: 'crop != 0 mm', steps: [{ do: 'set length', with: { level: 'newHem' } }] },
    {
      do: 'meet level',
      with: { from: 'back.centreWaist', through: 'back.fork', level: 'fork' },
      as: 'newFork',
    },
    leansOut('front'),
    leansOut('back'),
    {
      do: 'carry on along',
      on: 'front',
      with: { from: 'newFork', through: 'this.centreWaist', by: 'frontRiseExtension' },
      as: 'raised',
    },
    {
      do: 'carry on along',
      on: 'back',
      with: { from: 'newFork', through: 'this.centreWaist', by: 'backRiseExtension' },
      as: 'raised',
    },
    {
      let: 'front.lean',
      is: 'atan((newFork.x - front.centreWaist.x) / (front.centreWaist.y - newFork.y))',
    },
    { let: 'back.lean', is: 'atan((newFork.x - back.centreWaist.x) / (back.centreWaist.y - newFork.y))' },
    { let: 'inseamLean', is: '90 deg - (front.lean + back.lean) / 2' },
    ...hemPlanned(),
    { let: 'taperStart', is: '(level.knee + level.hem) / 2' },
  ];
}

function leansOut(piece: 'front' | 'back'): Step {
  return {
    guard: `newFork.x - ${piece}.centreWaist.x > 5 mm`,
    level: 'refuse',
    code: 'FRONT_RISE_LEANS_OUT',
    message: `The new fork would not be outside the ${piece} waist: it lies {newFork.x - ${piece}.centreWaist.x} from it, and 5 mm are needed.`,
    action: 'Ask for a larger drop, or give the block a longer back fork.',
    of: 'drop',
    place: { piece, part: 'fork', at: 'newFork' },
    numbers: { outsideMm: `newFork.x - ${piece}.centreWaist.x` },
  };
}

/** How far the hem may go in and still let the foot through: the pair must measure the foot and 10 mm, each piece gives half. */
function hemPlanned(): Step[] {
  return [
    {
      let: 'backStep',
      is: "if(inseamTruing = 'copy-front', back.hemInseam.x - front.hemInseam.x, 0 mm)",
    },
    { let: 'untapered', is: 'front.hem.length + back.hem.length - backStep' },
    { let: 'spare', is: 'untapered - body.heel - 10 mm' },
    { let: 'footChecked', is: "hemOpening = 'closed' and body.heelKnown" },
    { let: 'inward', is: 'if(footChecked, min(hemIn, max(0 mm, spare / 2)), hemIn)' },
    { let: 'leastHem', is: 'min(front.hem.length, back.hem.length - backStep)' },
    {
      guard: 'leastHem - inward >= 60 mm',
      level: 'refuse',
      code: 'HEM_WIDTH_TOO_SMALL',
      message: 'The narrower hem would be {leastHem - inward} wide; 60 mm are needed.',
      action: 'Take the hem in {allowed}.',
      otherwise: 'Widen the hem of the block by {60 mm - leastHem}; without any taper it is too narrow.',
      of: 'hemIn',
      allowed: { min: '0 mm', max: 'leastHem - 60 mm' },
      place: { part: 'hem' },
      numbers: { hemMm: 'leastHem - inward', largestHemInMm: 'leastHem - 60 mm' },
    },
    {
      guard: "hemOpening = 'open' or body.heelKnown",
      level: 'info',
      code: 'HEM_FOOT_NOT_CHECKED',
      message:
        'The girth round heel and instep is not known; whether the foot passes the hem was not checked.',
      action: 'Measure the girth round heel and instep, or give the hem an opening.',
      place: { part: 'hem' },
    },
    {
      guard: 'inward >= hemIn',
      level: 'warning',
      code: 'HEM_TAPER_REDUCED',
      message:
        'The hem goes in {inward} instead of {hemIn} at each inseam, so that the foot passes; it measures {untapered - 2 * inward}.',
      action: 'For the full taper give the hem an opening, such as a vent, a zip or a rib.',
      of: 'hemIn',
      allowed: { min: '0 mm', max: 'inward' },
      place: { part: 'hem' },
      numbers: { askedMm: 'hemIn', inMm: 'inward', hemMm: 'untapered - 2 * inward' },
    },
    {
      guard: 'not footChecked or spare >= 0 mm',
      level: 'stop',
      code: 'HEM_TOO_NARROW_FOR_FOOT',
      message:
        'The hem of {untapered - 2 * inward} is {0 mm - spare} too narrow for the foot even without a taper.',
      action:
        "Give the hem an opening (vent, zip or placket), a rib or a cloth that stretches, or widen the block's hem by {0 mm - spare}.",
      of: 'hemOpening',
      place: { part: 'hem' },
      numbers: { hemMm: 'untapered - 2 * inward', shortMm: '0 mm - spare' },
    },
    { do: 'point on seam', with: { seam: 'hem', along: 'inward' }, as: 'hemEnd' },
  ];
}

function frontCopied(): Step[] {
  return [
    taper('front.hemEnd', 'as-front'),
    taperLowered(),
    { do: 'move seam end', with: { seam: 'hem', end: 'start', to: 'front.hemEnd' } },
    inseam('front'),
    { do: 'copy seam', with: { seam: 'inseam' } },
    ...bendGuards('front'),
    ...bendGuards('back'),
    {
      do: 'point on seam',
      on: 'back',
      with: { seam: 'inseam', level: 'max(calf, block.level.hem)' },
      as: 'calfAfter',
    },
    {
      let: 'calfLost',
      is: 'if(calf > block.level.hem, back.calfBefore.x - back.calfAfter.x, 0 mm)',
    },
    {
      guard: 'max(calfLost, hemStep) <= 1 mm',
      level: 'info',
      code: 'BACK_FULLNESS_LOST',
      message:
        "With the front's inseam the back goes in {max(0 mm, calfLost)} at the calf and {hemStep + inward} at the hem.",
      action: 'Check the calf ease on the proof; "inseamTruing": "keep-back" keeps the back\'s own width.',
      place: { piece: 'back', part: 'inseam' },
      numbers: { calfLostMm: 'calfLost', hemLostMm: 'hemStep + inward' },
    },
  ];
}

function backKept(): Step[] {
  return [
    taper('back.hemEnd', 'own'),
    taperLowered(),
    { do: 'move seam end', with: { seam: 'hem', end: 'start', to: 'this.hemEnd' } },
    inseam('front'),
    inseam('back'),
    { do: 'match seam', with: { seam: 'inseam', way: 'by-stretch-or-fullness' } },
    ...bendGuards('front'),
    ...bendGuards('back'),
  ];
}

function taper(backHem: string, back: 'own' | 'as-front'): Step {
  return {
    do: 'find taper level',
    with: {
      fork: 'newFork',
      lean: 'inseamLean',
      frontHem: 'front.hemEnd',
      backHem,
      start: 'taperStart',
      floor: 'level.hem + 60 mm',
      back,
    },
    as: 'taper',
  };
}

function taperLowered(): Step {
  return {
    guard: 'taper.level >= taperStart',
    level: 'info',
    code: 'TAPER_LEVEL_LOWERED',
    message:
      'The inseam becomes straight {taperStart - taper.level} lower than half-way from knee to hem, so that the thigh runs out evenly.',
    action: 'Nothing to do; a smaller drop keeps the usual level.',
    place: { part: 'inseam' },
    numbers: { fromLevelMm: 'taperStart', toLevelMm: 'taper.level' },
  };
}

function inseam(piece: 'front' | 'back'): Step {
  return {
    do: 'redraw seam',
    on: piece,
    with: {
      seam: 'inseam',
      from: 'newFork',
      to: `taper.${piece}`,
      until: 'taper.level',
      leaving: 'inseamLean',
      then: 'this.hemEnd',
    },
  };
}

function bendGuards(piece: 'front' | 'back'): Step[] {
  return [
    { do: 'measure bend', on: piece, with: { seam: 'inseam' }, as: 'bend' },
    {
      guard: `taper.${piece}OneWay`,
      level: 'warning',
      code: 'INSEAM_INFLECTS',
      message: `The ${piece} inseam bends both ways between fork and taper level.`,
      action: 'Ask for a larger drop or a narrower hem, or look at the curve on the proof before cutting.',
      place: { piece, part: 'inseam' },
    },
    {
      guard: `${piece}.bend.radius >= 20 mm`,
      level: 'warning',
      code: 'INSEAM_TIGHT',
      message: `The ${piece} inseam turns with a radius of {${piece}.bend.radius} near the fork.`,
      action: 'Clip the allowance there, or ask for a larger drop.',
      place: { piece, part: 'inseam' },
      numbers: { radiusMm: `${piece}.bend.radius` },
    },
  ];
}

function waistGuards(): Step[] {
  const shorter = {
    guard: 'short <= 1 mm',
    level: 'warning',
    code: 'WAISTBAND_SHORTER',
    message:
      'The waist seam is {short} shorter than its band or than the block had it, because the longer rises lean.',
    of: 'waist',
    place: { part: 'waist' },
    numbers: { shortMm: 'short' },
  } as const;
  return [
    { let: 'seam', is: '2 * (front.waist.length + back.waist.length)' },
    {
      let: 'short',
      is: 'if(block.band.given, block.band.length, 2 * (block.front.waist.length + block.back.waist.length)) - seam',
    },
    { let: 'darts', is: '2 * (front.darts + back.darts)' },
    {
      guard: 'not body.waistKnown or seam >= body.waist + 10 mm',
      level: 'stop',
      code: 'WAIST_TOO_SMALL',
      message: 'The finished waist has {seam - body.waist} of ease; 10 mm are needed.',
      action: 'Have the waist restored ("waist": "restore"), or use a block with more waist ease.',
      of: 'waist',
      place: { part: 'waist' },
      numbers: { easeMm: 'seam - body.waist', neededMm: '10 mm' },
    },
    {
      when: 'darts > 0',
      steps: [
        {
          ...shorter,
          action:
            'Have the waist restored, release each of the {darts} darts of the garment by {short / darts}, let out each of the four side seams by {short / 4}, or cut the band shorter if the waist ease allows.',
        },
      ],
    },
    {
      when: 'darts = 0',
      steps: [
        {
          ...shorter,
          action:
            'Have the waist restored, let out each of the four side seams by {short / 4}, or cut the band shorter if the waist ease allows.',
        },
      ],
    },
  ];
}

function riseGuards(): Step[] {
  return [
    {
      guard: 'newFork.x > block.front.fork.x',
      level: 'warning',
      code: 'FRONT_FORK_NOT_WIDER',
      message:
        'The new fork lies {block.front.fork.x - newFork.x} nearer the crease than the old front fork.',
      action: 'Ask for a larger drop; this one narrows the front thigh.',
      place: { piece: 'front', part: 'fork', at: 'newFork' },
    },
    {
      guard: 'max(front.lean, back.lean) <= 20 deg',
      level: 'info',
      code: 'RISE_NEAR_BIAS',
      message: 'The centre seams lean {front.lean} in front and {back.lean} at the back, near the bias.',
      action: 'Stay-tape the centre seams before sewing.',
      place: { part: 'rise' },
      numbers: { frontLeanDeg: 'front.lean', backLeanDeg: 'back.lean' },
    },
    {
      guard: 'frontRiseExtension <= backRiseExtension',
      level: 'info',
      code: 'FRONT_EXTENSION_LARGER',
      message: 'The front rise is extended by {frontRiseExtension}, the back by {backRiseExtension}.',
      action: 'Nothing to do when meant so; for a long seat the back usually gets the more.',
      place: { part: 'rise' },
    },
    {
      guard: 'no',
      level: 'info',
      code: 'RISES_STRAIGHT',
      message: 'Both centre seams are straight from waist to fork.',
      action: 'Sew a toile where the cloth does not drape; a stiff cloth folds at the fork.',
      place: { part: 'rise' },
    },
  ];
}

function hemGuards(): Step[] {
  return [
    { let: 'frontOff', is: '(front.hemInseam.x + front.hemOutseam.x) / 2' },
    { let: 'backOff', is: '(back.hemInseam.x + back.hemOutseam.x) / 2' },
    {
      guard: 'max(abs(frontOff), abs(backOff)) <= 3 mm',
      level: 'info',
      code: 'HEM_OFF_CREASE',
      message:
        'The middle of the hem lies {abs(frontOff)} off the crease in front and {abs(backOff)} at the back.',
      action: 'Do not press a crease; the grain is kept.',
      place: { part: 'hem' },
      numbers: { frontOffMm: 'frontOff', backOffMm: 'backOff' },
    },
  ];
}
