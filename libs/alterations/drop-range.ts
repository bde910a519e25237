import { cornersOf, type Block, type Finding } from '#pattern';
import type { DropCrotchParameters } from './drop-crotch-parameters.js';
import { levelLine } from './level-line.js';
import { mm } from './outcome.js';

/** The levels of one drop-crotch alteration. */
export interface DropLevels {
  readonly dropMm: number;
  /** The new fork level. */
  readonly forkMm: number;
  readonly hemMm: number;
}

/** The new fork must lie below both old ones, or a rise would be shortened. */
const BELOW_FORKS_MM_MIN = 1;
const ABOVE_KNEE_MM_MIN = 10;
/** A shorter inseam leaves no room to walk; common practice, no source. */
const INSEAM_MM_MIN = 180;
/** The taper needs this much leg between knee and hem; a design choice. */
const BELOW_KNEE_MM_MIN = 60;

export function dropLevels(block: Block, { drop, cropMm }: DropCrotchParameters): DropLevels {
  const { crotch, knee, hem } = block.levels;
  const forkMm =
    'fraction' in drop
      ? levelLine({ fromMm: crotch, toMm: knee, fraction: drop.fraction })
      : levelLine({ fromMm: crotch, belowMm: drop.lengthMm });
  return { dropMm: crotch - forkMm, forkMm, hemMm: hem + cropMm };
}

/**
 * What is wrong with the levels that were asked for: every refusal that the block and the numbers alone decide, each
 * with the range that would work.
 */
export function refusedLevels(
  block: Block,
  parameters: DropCrotchParameters,
  levels: DropLevels,
  pointer: string,
): Finding[] {
  const { crotch, knee, hem } = block.levels;
  const { forkMm, hemMm } = levels;
  const lowestForkMm = Math.min(forkLevel(block, 'front'), forkLevel(block, 'back'));
  const range = dropRange(block, parameters, lowestForkMm, hemMm);
  const dropPointer = `${pointer}/drop`;
  const largestCropMm = down(Math.min(forkMm - INSEAM_MM_MIN, knee - BELOW_KNEE_MM_MIN) - hem);
  const crop = { pointer: `${pointer}/crop`, allowed: { max: largestCropMm, unit: 'mm' } };
  const findings: Finding[] = [];
  if (forkMm >= lowestForkMm - BELOW_FORKS_MM_MIN) {
    findings.push(
      stop('DROP_TOO_SMALL', dropPointer, range.allowed, {
        message: `The drop of ${mm(levels.dropMm)} would not lie below the back fork, which is ${mm(crotch - lowestForkMm)} below the crotch line.`,
        action: range.action,
        numbers: { dropMm: levels.dropMm, smallestDropMm: range.minMm },
      }),
    );
  }
  if (forkMm < knee + ABOVE_KNEE_MM_MIN) {
    findings.push(
      stop('DROP_BELOW_KNEE', dropPointer, range.allowed, {
        message: `The drop of ${mm(levels.dropMm)} would end ${mm(forkMm - knee)} above the knee line; it must stay ${ABOVE_KNEE_MM_MIN} mm above it.`,
        action: range.action,
        numbers: { dropMm: levels.dropMm, largestDropMm: range.maxMm },
      }),
    );
  }
  if (forkMm - hemMm < INSEAM_MM_MIN) {
    const cause =
      parameters.cropMm > 0 || range.allowed === undefined
        ? crop
        : { pointer: dropPointer, allowed: range.allowed };
    findings.push(
      stop(
        'INSEAM_TOO_SHORT',
        cause.pointer,
        cause.allowed,
        inseamWords(forkMm - hemMm, range, largestCropMm),
      ),
    );
  }
  if (hemMm > knee - BELOW_KNEE_MM_MIN) {
    findings.push(
      stop('CROP_TOO_SHORT', crop.pointer, crop.allowed, {
        message: `The hem would lie ${mm(Math.abs(knee - hemMm))} ${hemMm > knee ? 'above' : 'below'} the knee line; the taper needs ${BELOW_KNEE_MM_MIN} mm below it.`,
        action: `Crop by at most ${mm(largestCropMm)}.`,
        numbers: { hemBelowKneeMm: knee - hemMm, largestCropMm },
      }),
    );
  }
  return findings;
}

function inseamWords(
  leftMm: number,
  range: DropRange,
  largestCropMm: number,
): Pick<Finding, 'message' | 'action' | 'numbers'> {
  const ways = [
    ...(range.allowed === undefined ? [] : [`drop at most ${mm(range.maxMm)}`]),
    `crop at most ${mm(largestCropMm)}`,
  ];
  return {
    message: `From fork to hem only ${mm(leftMm)} would be left; ${INSEAM_MM_MIN} mm are needed.`,
    action: `Ask for ${ways.join(' or ')}.`,
    numbers: { inseamHeightMm: leftMm, largestDropMm: range.maxMm, largestCropMm },
  };
}

interface DropRange {
  readonly minMm: number;
  readonly maxMm: number;
  /** In the unit the drop was asked in; undefined when no drop fits. */
  readonly allowed: Finding['allowed'];
  readonly action: string;
}

function dropRange(
  block: Block,
  { drop }: DropCrotchParameters,
  lowestForkMm: number,
  hemMm: number,
): DropRange {
  const { crotch, knee } = block.levels;
  // The smallest must lie truly below; rounding to the next tenth of a millimetre does it.
  const minMm = up(crotch - lowestForkMm + BELOW_FORKS_MM_MIN + 1e-6);
  const maxMm = down(crotch - Math.max(knee + ABOVE_KNEE_MM_MIN, hemMm + INSEAM_MM_MIN));
  if (minMm > maxMm) {
    const action =
      'No drop fits between fork and knee of this block at this length; crop less or use a block with a longer thigh.';
    return { minMm, maxMm, allowed: undefined, action };
  }
  if ('lengthMm' in drop) {
    const action = `Ask for a drop between ${mm(minMm)} and ${mm(maxMm)}.`;
    return { minMm, maxMm, allowed: { min: minMm, max: maxMm, unit: 'mm' }, action };
  }
  const wayMm = crotch - knee;
  const min = Math.ceil((minMm / wayMm) * 1000) / 1000;
  const max = Math.floor((maxMm / wayMm) * 1000) / 1000;
  const action = `Ask for a drop between ${min} and ${max} of the way to the knee (${mm(minMm)} to ${mm(maxMm)}).`;
  return { minMm, maxMm, allowed: { min, max, unit: 'of the way from crotch line to knee line' }, action };
}

function stop(
  code: string,
  pointer: string,
  allowed: Finding['allowed'],
  words: Pick<Finding, 'message' | 'action' | 'numbers'>,
): Finding {
  return { code, level: 'stop', pointer, ...words, ...(allowed === undefined ? {} : { allowed }) };
}

function forkLevel(block: Block, role: 'front' | 'back'): number {
  return cornersOf(block[role]).fork.y;
}

/** To a tenth of a millimetre, never past what fits. */
function down(valueMm: number): number {
  return Math.floor(valueMm * 10 + 1e-9) / 10;
}

function up(valueMm: number): number {
  return Math.ceil(valueMm * 10 - 1e-9) / 10;
}
