import type { Step } from '../recipe.js';

/* What the drop-crotch has to say once it is drawn. */

export function waistGuards(): Step[] {
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

export function riseGuards(): Step[] {
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

export function hemGuards(): Step[] {
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

/**
 * A centre waist that was square and is not any more, or is further off than it was; truing allows one degree. A dart
 * close to the centre leaves the waist too little way to come square to a rise that leans more than before.
 */
export function squareGuards(): Step[] {
  return (['front', 'back'] as const).map((piece) => ({
    guard: `abs(${piece}.waistOffSquare) <= max(1 deg, abs(block.${piece}.waistOffSquare))`,
    level: 'warning',
    code: 'WAIST_NOT_SQUARE',
    message: `The ${piece} waist comes to the centre {abs(${piece}.waistOffSquare)} off square over its last 10 mm.`,
    action: 'Move the dart nearest the centre further from it, so that the waist has way to come square.',
    place: { piece, part: 'waist' },
    numbers: { offSquareDeg: `${piece}.waistOffSquare` },
  }));
}
