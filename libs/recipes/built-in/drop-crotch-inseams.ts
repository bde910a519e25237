import type { Step } from '../recipe.js';

/* The inseams of the drop-crotch: the back's copied from the front, or its own. */

export function frontCopied(): Step[] {
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

export function backKept(): Step[] {
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
