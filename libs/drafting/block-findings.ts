import type { Point } from '#geometry';
import {
  bySeriousness,
  cornersOf,
  landmarksOf,
  sewnSectionMm,
  type Block,
  type BlockFigures,
  type Finding,
  type FindingPlace,
} from '#pattern';
import { INDEX, TRADE_WORDS, type Parameter } from './parameters.js';
import type { SolvedBlock } from './solve-block.js';
import { CONTRADICTION_ROW } from './yielding.js';

/** The part of a drafted block that its findings speak about. */
export interface DraftOutcomeFigures {
  readonly block: Block;
  readonly targets: BlockFigures;
  readonly drafted: BlockFigures;
  readonly splitMoveMm: number;
  readonly depthMoveMm: number;
  readonly atLimit: readonly Parameter[];
}

/**
 * Ranges outside which a cutter would look twice: common practice, no source. A draft at the very end of a range
 * is inside; a rounding of the solver is not a finding.
 */
const UNUSUAL = {
  frontForkShare: [0.035, 0.09],
  centreFrontMm: [-35, 35],
  centreBackMm: [0, 80],
  seatAngleDeg: [3, 18],
  sideMm: [-20, Infinity],
} as const;
const ROUNDING = 1e-6;

/** Below these a move of split or depth is ordinary and only listed. */
const SPLIT_MOVE_MM_MAX = 20;
const DEPTH_MOVE_NOTE_MM = 10;
const DEPTH_MOVE_MM_MAX = 20;
const HIP_LEVEL_MOVE_NOTE_MM = 0.5;
const HIP_SHORT_MM_MAX = 10;

/** Everything worth saying about a drafted block, from the most to the least serious. */
export function blockFindings(solved: SolvedBlock, outcome: DraftOutcomeFigures): Finding[] {
  return bySeriousness([
    ...contradiction(solved),
    ...unusualShape(solved, outcome.block),
    ...splitAndDepth(outcome),
    ...hipLevelMoved(solved, outcome),
    ...limits(outcome),
  ]);
}

// A crotch length that does not go with the heights shows first where the waist has to follow it at the centre.
function contradiction(solved: SolvedBlock): Finding[] {
  const isOutside = (name: Parameter, [least, most]: readonly [number, number]): boolean =>
    solved.parameters[INDEX[name]] < least - ROUNDING || solved.parameters[INDEX[name]] > most + ROUNDING;
  const atTheCentre =
    isOutside('frontCentreRaise', UNUSUAL.centreFrontMm) ||
    isOutside('backCentreRaise', UNUSUAL.centreBackMm);
  if (solved.row < CONTRADICTION_ROW && !atTheCentre) return [];
  return [
    {
      code: 'CROTCH_VS_RISE',
      level: 'warning',
      message:
        'The crotch length does not go with the height of waist and crotch; the block had to leave the ranges of an ordinary draft.',
      action: 'Measure total crotch length and waist height again before cutting.',
      place: { part: 'rise' },
    },
  ];
}

function unusualShape(solved: SolvedBlock, block: Block): Finding[] {
  const p = (name: Parameter): number => solved.parameters[INDEX[name]];
  const front = landmarksOf(block.front, block.levels);
  const back = landmarksOf(block.back, block.levels);
  const forkShare = scaled(UNUSUAL.frontForkShare, 100);
  const above = 'mm above the side';
  const inwards = 'mm inwards from the hip';
  const on = (piece: 'front' | 'back', part: string, at: Point): FindingPlace => ({ piece, part, at });
  const rows: readonly Parameters<typeof outside>[] = [
    [
      'UNUSUAL_FRONT_FORK',
      100 * p('frontFork'),
      forkShare,
      '% of the hip',
      'Front fork extension',
      on('front', 'fork', front.fork),
    ],
    [
      'UNUSUAL_CF_WAIST',
      p('frontCentreRaise'),
      UNUSUAL.centreFrontMm,
      above,
      'Centre front at the waist',
      on('front', 'centre waist', front.centreWaist),
    ],
    [
      'UNUSUAL_CB_RAISE',
      p('backCentreRaise'),
      UNUSUAL.centreBackMm,
      above,
      'Centre back at the waist',
      on('back', 'centre waist', back.centreWaist),
    ],
    [
      'UNUSUAL_SEAT_ANGLE',
      p('seatAngle'),
      UNUSUAL.seatAngleDeg,
      'degrees',
      'Seat angle',
      on('back', 'rise', back.centreWaist),
    ],
    [
      'UNUSUAL_SIDE',
      p('frontSide'),
      UNUSUAL.sideMm,
      inwards,
      'Front side seam at the waist',
      on('front', 'outseam', front.sideWaist),
    ],
    [
      'UNUSUAL_SIDE',
      p('backSide'),
      UNUSUAL.sideMm,
      inwards,
      'Back side seam at the waist',
      on('back', 'outseam', back.sideWaist),
    ],
  ];
  return rows.flatMap((row) => outside(...row));
}

function scaled([least, most]: readonly [number, number], factor: number): readonly [number, number] {
  return [least * factor, most * factor];
}

function outside(
  code: string,
  value: number,
  [least, most]: readonly [number, number],
  unit: string,
  what: string,
  place: FindingPlace,
): Finding[] {
  if (value >= least - ROUNDING && value <= most + ROUNDING) return [];
  const range = Number.isFinite(most) ? `${least} to ${most}` : `${least} or more`;
  return [
    {
      code,
      level: 'warning',
      message: `${what} is ${value.toFixed(1)} ${unit}; ordinary is ${range}.`,
      action:
        'Look at the proof before cutting; measure the crotch length again if nothing about the figure explains it.',
      place,
      numbers: { value, least, ...(Number.isFinite(most) ? { most } : {}) },
    },
  ];
}

function splitAndDepth({ splitMoveMm, depthMoveMm }: DraftOutcomeFigures): Finding[] {
  const findings: Finding[] = [];
  if (Math.abs(splitMoveMm) > SPLIT_MOVE_MM_MAX) {
    const longer = splitMoveMm > 0 ? 'front' : 'back';
    findings.push({
      code: 'SPLIT_MOVED',
      level: 'warning',
      message: `The ${longer} rise is ${Math.abs(splitMoveMm).toFixed(1)} mm longer than taped and the other shorter by the same; the total is exact.`,
      action: 'Measure where the crotch point divides front and back again.',
      place: { part: 'rise' },
      numbers: { splitMoveMm },
    });
  }
  if (Math.abs(depthMoveMm) > DEPTH_MOVE_NOTE_MM) {
    const far = Math.abs(depthMoveMm) > DEPTH_MOVE_MM_MAX;
    findings.push({
      code: 'DEPTH_MOVED',
      level: far ? 'warning' : 'info',
      message: `The fork hangs ${Math.abs(depthMoveMm).toFixed(1)} mm ${depthMoveMm > 0 ? 'lower' : 'higher'} than the ordered crotch depth: the crotch length is too ${depthMoveMm > 0 ? 'long' : 'short'} for that depth.`,
      action: far
        ? 'Measure inside leg, waist height and crotch length again.'
        : `Nothing to do; the inseam is ${depthMoveMm > 0 ? 'shorter' : 'longer'} by as much.`,
      place: { part: 'fork' },
      numbers: { depthMoveMm },
    });
  }
  return findings;
}

// The hip line is moved when the body's hip lies too near crotch or waist to draw a crotch curve under it. What
// matters to the wearer is the girth that is left at the body's own level.
function hipLevelMoved(solved: SolvedBlock, { block, targets }: DraftOutcomeFigures): Finding[] {
  const { bodyHipLevelMm } = solved.frame.targets;
  const moveMm = solved.frame.hipLevelMm - bodyHipLevelMm;
  if (Math.abs(moveMm) <= HIP_LEVEL_MOVE_NOTE_MM) return [];
  const sewnMm = girthAt(block, bodyHipLevelMm);
  const shortMm = sewnMm === undefined ? 0 : targets.hip - sewnMm;
  const short = shortMm > HIP_SHORT_MM_MAX;
  return [
    {
      code: 'HIP_LEVEL_MOVED',
      level: short ? 'warning' : 'info',
      message: `The hip line is drawn ${Math.abs(moveMm).toFixed(1)} mm ${moveMm > 0 ? 'above' : 'below'} the body's hip level${short ? `; at the body's own level the garment is ${shortMm.toFixed(1)} mm short of its hip target` : ''}.`,
      action: short
        ? 'Order more hip ease or measure the hip height again.'
        : "Nothing to do; the girth at the body's own level is enough.",
      place: { part: 'hip' },
      numbers: { moveMm, shortMm },
    },
  ];
}

function girthAt(block: Block, levelMm: number): number | undefined {
  const lowest = Math.max(cornersOf(block.front).fork.y, cornersOf(block.back).fork.y);
  if (levelMm <= lowest) return undefined;
  return 2 * (sewnSectionMm(block.front, levelMm) + sewnSectionMm(block.back, levelMm));
}

function limits({ atLimit }: DraftOutcomeFigures): Finding[] {
  if (atLimit.length === 0) return [];
  return [
    {
      code: 'AT_LIMIT',
      level: 'warning',
      message: `At the end of its range: ${atLimit.map((name) => TRADE_WORDS[name]).join(', ')}.`,
      action:
        'Look at the proof before cutting; a measure a little further out could not be drafted this way.',
      numbers: { count: atLimit.length },
    },
  ];
}
