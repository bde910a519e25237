import type { Step } from '../recipe.js';
import { footFindings, taperReduced } from './shared-steps.js';

/* The drop-crotch before anything is redrawn: its levels, its new points, how far the hem may go in. */

const NO_DROP =
  'No drop fits between fork and knee of this block at this length; crop less or use a block with a longer thigh.';
/** How far a hem goes in where nobody says otherwise; common practice, no source. */
export const USUAL_HEM_IN_MM = 19;

const DROP_RANGE = { min: 'smallestDrop', max: 'largestDrop' };

export function levels(): Step[] {
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
export function planned(): Step[] {
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
    ...footFindings("hemOpening = 'closed'"),
    ...taperReduced(
      { asked: 'hemIn', taken: 'inward', usualMm: USUAL_HEM_IN_MM },
      {
        message:
          'The hem goes in {inward} instead of {hemIn} at each inseam, so that the foot passes; it measures {untapered - 2 * inward}.',
        action: 'For the full taper give the hem an opening, such as a vent, a zip or a rib.',
        numbers: { askedMm: 'hemIn', inMm: 'inward', hemMm: 'untapered - 2 * inward' },
      },
    ),
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
