import { dartsOf, inMm, type Block } from '#pattern';
import type { MeasuredSeam } from './seam-checks.js';
import type { CheckState, Fix, WaistbandCheck } from './truing-report.js';
import type { TruingRules } from './truing-rules.js';

/**
 * The waist seam against its band, and what could be done about a difference.
 *
 * A seam longer than the band is eased in up to a few percent; a shorter one cannot be. Nothing is done on its own:
 * each way changes the fit or another piece.
 *
 * Source  ways and their order are common practice, no source; cutting the band shorter comes late because it takes
 *         the ease from the waist.
 */
export function checkWaistband(
  block: Block,
  waist: MeasuredSeam,
  state: CheckState,
  rules: TruingRules,
): WaistbandCheck {
  const { difference } = waist;
  const bandMm = waist.second.lengthMm;
  return {
    seamMm: waist.first.lengthMm,
    bandMm,
    cutTo: block.waistbandMm === undefined ? 'seam' : 'given',
    difference,
    fullnessPercent: (100 * difference) / bandMm,
    allowedPercent: 100 * rules.bandFullnessMax,
    state,
    proposals: waist.within ? [] : proposals(block, waist),
  };
}

function proposals(block: Block, { difference, allowed, second }: MeasuredSeam): Fix[] {
  if (difference < 0) return letOut(block, -difference, second.lengthMm);
  // Longer than can be eased in: what is left after easing has to go.
  return takeIn(block, difference - allowed.max, second.lengthMm);
}

function letOut(block: Block, missingMm: number, bandMm: number): Fix[] {
  const dartCount = 2 * (dartsOf(block.front).length + dartsOf(block.back).length);
  const perDartMm = missingMm / dartCount;
  const perSeamMm = missingMm / 4;
  return [
    ...(dartCount === 0
      ? []
      : [
          whole(
            'release-darts',
            'dart',
            perDartMm,
            `Release each of the ${dartCount} darts by ${inMm(perDartMm)} at the waist.`,
          ),
        ]),
    whole(
      'let-out-sides',
      'side waist',
      perSeamMm,
      `Let out both side seams at the waist, ${inMm(perSeamMm)} on each piece.`,
    ),
    whole(
      'move-centre-waist',
      'centre waist',
      perSeamMm,
      `Move the waist at centre front and centre back ${inMm(perSeamMm)} outwards on each piece, square to the rise.`,
    ),
    whole(
      'cut-band',
      'waistband',
      missingMm,
      `Cut the band ${inMm(missingMm)} shorter, to ${inMm(bandMm - missingMm)}, if the body allows it.`,
    ),
    whole(
      'elastic-casing',
      'waistband',
      missingMm,
      'Finish the waist with an elastic casing instead of the band.',
    ),
  ];
}

function takeIn(block: Block, excessMm: number, bandMm: number): Fix[] {
  const dartCount = 2 * (dartsOf(block.front).length + dartsOf(block.back).length);
  const perDartMm = excessMm / dartCount;
  const perSeamMm = excessMm / 4;
  return [
    ...(dartCount === 0
      ? []
      : [
          whole(
            'deepen-darts',
            'dart',
            perDartMm,
            `Take each of the ${dartCount} darts ${inMm(perDartMm)} deeper at the waist.`,
          ),
        ]),
    whole(
      'take-in-sides',
      'side waist',
      perSeamMm,
      `Take in both side seams at the waist, ${inMm(perSeamMm)} on each piece.`,
    ),
    whole(
      'cut-band',
      'waistband',
      excessMm,
      `Cut the band ${inMm(excessMm)} longer, to ${inMm(bandMm + excessMm)}.`,
    ),
  ];
}

function whole(kind: Fix['kind'], part: string, byMm: number, words: string): Fix {
  return { kind, piece: null, part, byMm, words };
}
