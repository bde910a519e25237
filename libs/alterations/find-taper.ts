import { direction, distance, type Point } from '#geometry';
import { seamAtLevel } from '#pattern';
import { fairCubic } from './fair-cubic.js';
import { done, type Outcome, type PiecePair } from './outcome.js';
import { seamMissesLevel } from './redraw-seam.js';

export interface Taper {
  readonly levelMm: number;
  /** Where the inseam becomes straight: on the old inseam. */
  readonly front: Point;
  readonly back: Point;
  /** Whether the thigh above bends one way only. */
  readonly frontOneWay: boolean;
  readonly backOneWay: boolean;
}

interface Wanted {
  readonly pieces: PiecePair;
  readonly fork: Point;
  /** The direction in which both inseams leave the fork. */
  readonly leaving: Point;
  readonly hem: { readonly front: Point; readonly back: Point };
  readonly startMm: number;
  readonly floorMm: number;
  readonly backAsFront: boolean;
}

/** An inseam whose lower arm is shorter than this share of the upper one turns in the thigh and then runs flat. */
const LOWER_ARM_SHARE_MIN = 0.35;
/** The level is lowered to the floor in so many steps. */
const TAPER_STEPS = 12;

/**
 * The level at which a redrawn inseam becomes straight: the one asked for, or lower where the thigh curve above would
 * have too short an arm below.
 *
 * Errors  refusal SEAM_MISSES_LEVEL.
 */
export function findTaper(wanted: Wanted): Outcome<Taper> {
  const { pieces, fork, leaving, hem, startMm } = wanted;
  const floorMm = Math.min(startMm, wanted.floorMm);
  for (let step = 0; ; step++) {
    const levelMm = startMm + ((floorMm - startMm) * step) / TAPER_STEPS;
    const front = seamAtLevel(pieces.front, 'inseam', levelMm)?.point;
    if (front === undefined) return seamMissesLevel(pieces.front, 'inseam', levelMm);
    const back = wanted.backAsFront ? front : seamAtLevel(pieces.back, 'inseam', levelMm)?.point;
    if (back === undefined) return seamMissesLevel(pieces.back, 'inseam', levelMm);
    const arms = {
      front: armsOf(fork, leaving, front, hem.front),
      back: armsOf(fork, leaving, back, hem.back),
    };
    const enough = hasLowerArm(arms.front) && hasLowerArm(arms.back);
    if (!enough && step < TAPER_STEPS && floorMm < startMm) continue;
    return done({
      levelMm,
      front,
      back,
      frontOneWay: arms.front !== undefined,
      backOneWay: arms.back !== undefined,
    });
  }
}

type Arms = { readonly startMm: number; readonly endMm: number } | undefined;

function armsOf(fork: Point, leaving: Point, taper: Point, hem: Point): Arms {
  if (distance(taper, hem) === 0) return { startMm: 0, endMm: 0 };
  return fairCubic(fork, leaving, taper, direction(taper, hem)).arms;
}

// Without a corner there is no arm to lengthen; that the inseam bends both ways is said elsewhere.
function hasLowerArm(arms: Arms): boolean {
  return arms === undefined || arms.endMm >= LOWER_ARM_SHARE_MIN * arms.startMm;
}
