import { cornersOf, inMm, sewnSectionMm, type Block, type Finding } from '#pattern';
import type { FittingTargets } from './equations.js';

/**
 * The hip line of a block lies at the body's hip, but not nearer crotch or waist than these shares of the rise: lower, there
 * is no room for a crotch curve under it, higher none for a dart above. Design choices.
 */
const FLOOR_SHARE = 0.26;
const CEILING_SHARE = 0.6;

/** The height at which the hip line is drawn and the hip girth reached. */
export function hipLevelMm({ bodyHipLevelMm, crotchLevelMm, waistLevelMm }: FittingTargets): number {
  const riseMm = waistLevelMm - crotchLevelMm;
  const lowest = crotchLevelMm + FLOOR_SHARE * riseMm;
  return Math.min(crotchLevelMm + CEILING_SHARE * riseMm, Math.max(lowest, bodyHipLevelMm));
}

/** A line this near the body's hip is at it. */
const NOTE_MM = 0.5;

/** Short by this at the body's own level is felt; as for a drafted block. */
const SHORT_MM_MAX = 10;

/** That the hip line is not where the body's hip is: found, allowed, and what is left for the wearer there. */
export function hipLevelFindings(targets: FittingTargets, block: Block): Finding[] {
  const { bodyHipLevelMm, crotchLevelMm, waistLevelMm } = targets;
  const moveMm = hipLevelMm(targets) - bodyHipLevelMm;
  if (Math.abs(moveMm) <= NOTE_MM) return [];
  const sewnMm = girthAt(block, bodyHipLevelMm);
  const shortMm = sewnMm === undefined ? 0 : targets.hipMm - sewnMm;
  const isShort = shortMm > SHORT_MM_MAX;
  const percent = (share: number): number => Math.round(100 * share);
  const foundPercent = percent((bodyHipLevelMm - crotchLevelMm) / (waistLevelMm - crotchLevelMm));
  const [min, max] = [percent(FLOOR_SHARE), percent(CEILING_SHARE)];
  const left = isShort
    ? `at the body's own level the garment is ${inMm(shortMm)} short of its hip target`
    : "the girth at the body's own level is enough";
  return [
    {
      code: 'HIP_LEVEL_MOVED',
      level: isShort ? 'warning' : 'info',
      message: `The hip of this body lies at ${foundPercent} % of the rise above the crotch line, and the hip line of a block can lie at ${min} to ${max} %: it is drawn ${inMm(Math.abs(moveMm))} ${moveMm > 0 ? 'above' : 'below'} the body's hip; ${left}.`,
      action: isShort
        ? 'Measure hip height again, or set ease.hip higher.'
        : 'Nothing to do where hip height is right; measure it again when in doubt.',
      place: { part: 'hip' },
      pointer: '/body/measures/hipHeight',
      numbers: { moveMm, shortMm, foundPercent },
      allowed: { min, max, unit: '% of the rise' },
    },
  ];
}

function girthAt(block: Block, levelMm: number): number | undefined {
  const forkMm = Math.max(cornersOf(block.front).fork.y, cornersOf(block.back).fork.y);
  if (levelMm <= forkMm) return undefined;
  return 2 * (sewnSectionMm(block.front, levelMm) + sewnSectionMm(block.back, levelMm));
}
