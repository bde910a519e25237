import { direction, distance, type Point } from '#geometry';
import {
  edgesOf,
  cornersOf,
  pieceOf,
  seamAtLevel,
  type Finding,
  type Levels,
  type PieceRole,
} from '#pattern';
import type { Wearer } from './alteration-result.js';
import type { DropCrotchParameters } from './drop-crotch-parameters.js';
import type { DropLevels } from './drop-range.js';
import { fairCubic } from './fair-cubic.js';
import { taperForFoot } from './foot-room.js';
import { carryOnAlong, intersectLineWithLevel, levelLine } from './level-line.js';
import { pointAlongHem } from './move-hem-point.js';
import { done, mm, refused, type Outcome, type PiecePair, type Refused } from './outcome.js';
import { seamMissesLevel } from './redraw-seam.js';
import { runLengthMm } from './run.js';
import { trueFork } from './true-corner.js';

/** Everything the drop-crotch draws to: points and directions found on the block before anything is redrawn. */
export interface DropCrotchPlan {
  /** The new fork, at the same distance from the crease on both pieces. */
  readonly fork: Point;
  readonly front: PiecePlan;
  readonly back: PiecePlan;
  /** Direction in which both inseams leave the fork. */
  readonly leaving: Point;
  readonly taperLevelMm: number;
  readonly hemInMm: number;
  readonly findings: readonly Finding[];
}

export interface PiecePlan {
  /** The raised end of the rise. */
  readonly centreWaist: Point;
  /** Lean of the new rise from the vertical. */
  readonly leanRad: number;
  readonly hemInseam: Point;
  /** Where the inseam becomes straight: on the old inseam. */
  readonly taper: Point;
}

const ROLES = ['front', 'back'] as const satisfies readonly PieceRole[];
/** The new fork lies at least this far outside the centre waist. */
const OUTSIDE_WAIST_MM_MIN = 5;
/** A narrower hem cannot be sewn round; common practice, no source. */
const HEM_MM_MIN = 60;
/** The start of the taper: half-way from knee to hem. Common practice, no source. */
const TAPER_FRACTION = 0.5;
/** An inseam whose lower arm is shorter than this share of the upper one turns in the thigh and then runs flat. */
const LOWER_ARM_SHARE_MIN = 0.35;
/** The taper level is lowered towards this far above the hem, in these steps. */
const TAPER_ABOVE_HEM_MM_MIN = 60;
const TAPER_STEPS = 12;
/** Places along a hem are found this well. */
const HEM_TOLERANCE_MM = 1e-4;

/**
 * Find what the drop-crotch draws to.
 *
 * Shape     the line from back centre waist through the back fork, carried down to the new fork level, gives the
 *           fork's distance from the crease for both pieces; each rise is the straight line from there through its
 *           centre waist, carried on by its extension; the inseam becomes straight at the taper level.
 * Errors    refusals FRONT_RISE_LEANS_OUT, HEM_WIDTH_TOO_SMALL, SEAM_MISSES_LEVEL.
 */
export function planDropCrotch(
  pieces: PiecePair,
  blockLevels: Levels,
  parameters: DropCrotchParameters,
  levels: DropLevels,
  wearer: Wearer,
): Outcome<DropCrotchPlan> {
  const fork = forkPoint(pieces, levels.forkMm);
  if (fork.state === 'refused') return fork;
  const leansOut = riseLeansOut(pieces, fork.value, wearer.pointer);
  if (leansOut !== undefined) return leansOut;
  const front = risePlan(pieces, 'front', fork.value, parameters.frontRiseExtensionMm);
  const back = risePlan(pieces, 'back', fork.value, parameters.backRiseExtensionMm);
  const leaving = trueFork(front.leanRad, back.leanRad);
  const hem = hemPlan(pieces, parameters, wearer);
  if (hem.state === 'refused') return hem;
  const taper = findTaper(pieces, fork.value, leaving, hem.value, parameters, {
    kneeMm: blockLevels.knee,
    hemMm: levels.hemMm,
  });
  if ('state' in taper) return taper;
  return done({
    fork: fork.value,
    front: { ...front, hemInseam: hem.value.front, taper: taper.front },
    back: { ...back, hemInseam: hem.value.back, taper: taper.back },
    leaving,
    taperLevelMm: taper.levelMm,
    hemInMm: hem.value.inMm,
    findings: [...hem.value.findings, ...taper.findings],
  });
}

function forkPoint(pieces: PiecePair, forkMm: number): Outcome<Point> {
  const { centreWaist, fork } = cornersOf(pieces.back);
  const met = intersectLineWithLevel(centreWaist, fork, forkMm);
  // The level itself, not its rounding along the slanted line.
  return met.state === 'refused' ? met : done({ x: met.value.x, y: forkMm });
}

function riseLeansOut(pieces: PiecePair, fork: Point, pointer: string): Refused | undefined {
  for (const role of ROLES) {
    const { centreWaist } = cornersOf(pieceOf(pieces, role));
    const outsideMm = fork.x - centreWaist.x;
    if (outsideMm > OUTSIDE_WAIST_MM_MIN) continue;
    return refused({
      code: 'FRONT_RISE_LEANS_OUT',
      message: `The new fork would not be outside the ${role} waist: it lies ${mm(outsideMm)} from it, and ${OUTSIDE_WAIST_MM_MIN} mm are needed.`,
      action: 'Ask for a larger drop, or give the block a longer back fork.',
      place: { piece: role, part: 'fork', at: fork },
      pointer: `${pointer}/drop`,
      numbers: { outsideMm },
    });
  }
  return undefined;
}

function risePlan(
  pieces: PiecePair,
  role: PieceRole,
  fork: Point,
  extensionMm: number,
): Pick<PiecePlan, 'centreWaist' | 'leanRad'> {
  const old = cornersOf(pieceOf(pieces, role)).centreWaist;
  const raised = carryOnAlong(fork, old, extensionMm);
  return {
    centreWaist: raised.state === 'done' ? raised.value : old,
    leanRad: Math.atan2(fork.x - old.x, old.y - fork.y),
  };
}

interface HemPlan {
  readonly front: Point;
  readonly back: Point;
  readonly inMm: number;
  readonly findings: readonly Finding[];
}

function hemPlan(pieces: PiecePair, parameters: DropCrotchParameters, wearer: Wearer): Outcome<HemPlan> {
  const run = { front: edgesOf(pieces.front, 'hem'), back: edgesOf(pieces.back, 'hem') };
  const copies = parameters.inseamTruing === 'copy-front';
  const backStepMm = copies ? run.back[0].curve.p0.x - run.front[0].curve.p0.x : 0;
  const widths = { frontMm: runLengthMm(run.front), backMm: runLengthMm(run.back), backStepMm };
  const { inMm, findings } = taperForFoot(widths, parameters, wearer);
  const leastMm = Math.min(widths.frontMm, widths.backMm - backStepMm);
  if (leastMm - inMm < HEM_MM_MIN) return hemTooSmall(leastMm, inMm, wearer.pointer);
  const front = pointAlongHem(run.front, inMm, HEM_TOLERANCE_MM);
  const back = copies ? front : pointAlongHem(run.back, inMm, HEM_TOLERANCE_MM);
  return done({ front, back, inMm, findings });
}

function hemTooSmall(leastMm: number, inMm: number, pointer: string): Refused {
  const largestMm = Math.floor((leastMm - HEM_MM_MIN) * 10) / 10;
  return refused({
    code: 'HEM_WIDTH_TOO_SMALL',
    message: `The narrower hem would be ${mm(leastMm - inMm)} wide; ${HEM_MM_MIN} mm are needed.`,
    action:
      largestMm >= 0
        ? `Take the hem in by at most ${mm(largestMm)}.`
        : `Widen the hem of the block by ${mm(-largestMm)}; without any taper it is too narrow.`,
    place: { part: 'hem' },
    pointer: `${pointer}/hemIn`,
    numbers: { hemMm: leastMm - inMm, largestHemInMm: largestMm },
    ...(largestMm >= 0 ? { allowed: { min: 0, max: largestMm, unit: 'mm' } } : {}),
  });
}

interface Taper {
  readonly levelMm: number;
  readonly front: Point;
  readonly back: Point;
  readonly findings: readonly Finding[];
}

// Half-way from knee to hem; lower where the thigh curve would have too short an arm below.
function findTaper(
  pieces: PiecePair,
  fork: Point,
  leaving: Point,
  hem: HemPlan,
  { inseamTruing }: DropCrotchParameters,
  { kneeMm, hemMm }: { readonly kneeMm: number; readonly hemMm: number },
): Taper | Refused {
  const startMm = levelLine({ fromMm: kneeMm, toMm: hemMm, fraction: TAPER_FRACTION });
  const floorMm = Math.min(startMm, hemMm + TAPER_ABOVE_HEM_MM_MIN);
  for (let step = 0; ; step++) {
    const levelMm = startMm + ((floorMm - startMm) * step) / TAPER_STEPS;
    const front = seamAtLevel(pieces.front, 'inseam', levelMm)?.point;
    if (front === undefined) return seamMissesLevel(pieces.front, 'inseam', levelMm);
    const back = inseamTruing === 'copy-front' ? front : seamAtLevel(pieces.back, 'inseam', levelMm)?.point;
    if (back === undefined) return seamMissesLevel(pieces.back, 'inseam', levelMm);
    const enough = hasLowerArm(fork, leaving, front, hem.front) && hasLowerArm(fork, leaving, back, hem.back);
    if (!enough && step < TAPER_STEPS && floorMm < startMm) continue;
    return { levelMm, front, back, findings: step === 0 ? [] : [lowered(startMm, levelMm)] };
  }
}

function hasLowerArm(fork: Point, leaving: Point, taper: Point, hem: Point): boolean {
  if (distance(taper, hem) === 0) return true;
  const { arms } = fairCubic(fork, leaving, taper, direction(taper, hem));
  // Without a corner there is no arm to lengthen; that the inseam bends both ways is said elsewhere.
  return arms === undefined || arms.endMm >= LOWER_ARM_SHARE_MIN * arms.startMm;
}

function lowered(fromMm: number, toMm: number): Finding {
  return {
    code: 'TAPER_LEVEL_LOWERED',
    level: 'info',
    message: `The inseam becomes straight ${mm(fromMm - toMm)} lower than half-way from knee to hem, so that the thigh runs out evenly.`,
    action: 'Nothing to do; a smaller drop keeps the usual level.',
    place: { part: 'inseam' },
    numbers: { fromLevelMm: fromMm, toLevelMm: toMm },
  };
}
