import type { Finding, Moved, PieceRole } from '#pattern';
import { done, mm, refused, type Outcome, type PiecePair } from './outcome.js';
import { DART_INTAKE_MM_MIN, planRelease, releasesFor, type DartFate } from './plan-release.js';
import { seamMissesLevel } from './redraw-seam.js';
import {
  outseamMm,
  sideAndWaistOf,
  sideMoved,
  sideMoveMm,
  sideWaistOf,
  waistMm,
  withSideAndWaist,
  type SideAndWaist,
} from './side-seam.js';
import { intakeMm, releaseDart, type WaistLine } from './waist-line.js';

/** A waist resized, with how. Releases are listed per dart from side to centre; a closed one is whole. */
export interface ResizedWaist extends PiecePair {
  readonly darts: readonly ReleasedDart[];
  /** What each of the four side seams was let out, or taken in when negative. */
  readonly sideOutMm: number;
}

export interface ReleasedDart {
  readonly piece: PieceRole;
  readonly intakeMm: number;
  readonly releasedMm: number;
  readonly fate: DartFate;
}

interface Sides {
  readonly front: SideAndWaist;
  readonly back: SideAndWaist;
}

interface Move {
  readonly releases: { readonly front: readonly number[]; readonly back: readonly number[] };
  readonly outMm: number;
  /** How far the back side waist goes up to keep the outseams equal. */
  readonly backUpMm: number;
}

const STEPS_MAX = 40;
/** Far below the half millimetre a waist must close within and the hundredth of an outseam. */
const EQUAL_MM = 1e-6;

/**
 * Bring the waist seam to a length: release the darts evenly, then let out both side seams equally.
 *
 * Why       a longer rise takes waist away along its slant; the darts were drawn for the body and can give some of
 *           it back before the side seam has to change.
 * Shape     `targetMm` is half the garment: front and back waist seam together. No dart is left below 8 mm: where
 *           an even share would, it is closed, or kept at 8 mm when closing gives more than is missing. What is
 *           then missing, or is too much, comes from the side seams. The back side waist slides along so that the
 *           outseams stay equal; corners at the side, dart legs and centres stay as they are.
 * Accuracy  waist within 1e-5 mm of the target, outseams equal within 1e-5 mm.
 * Errors    refusal SEAM_MISSES_LEVEL, WAIST_NOT_REACHED.
 */
export function resizeWaist(
  pieces: PiecePair,
  targetMm: number,
  hipLevelMm: number,
  darts: DartsWanted = 'release',
): Outcome<ResizedWaist> {
  const front = sideAndWaistOf(pieces.front, hipLevelMm);
  const back = sideAndWaistOf(pieces.back, hipLevelMm);
  if (front === undefined) return seamMissesLevel(pieces.front, 'outseam', hipLevelMm);
  if (back === undefined) return seamMissesLevel(pieces.back, 'outseam', hipLevelMm);
  const intakes = [...front.waist.darts, ...back.waist.darts].map(intakeMm);
  const missingMm = targetMm - waistMm(front) - waistMm(back);
  const fates =
    darts === 'release'
      ? planRelease(missingMm, intakes)
      : wantedFates(darts, intakes, front.waist.darts.length);
  const found = search({ front, back }, targetMm, intakes, fates, missingMm);
  if (found === undefined) return notReached(missingMm);
  const released = intakes.map((intake, i): ReleasedDart => {
    const inFront = i < front.waist.darts.length;
    return {
      piece: inFront ? 'front' : 'back',
      intakeMm: intake,
      releasedMm: found.releases[i],
      fate: fates[i],
    };
  });
  const value: ResizedWaist = {
    front: withSideAndWaist(pieces.front, found.sides.front),
    back: withSideAndWaist(pieces.back, found.sides.back),
    darts: released,
    sideOutMm: found.outMm,
  };
  return done(value, [...dartRecords(released), ...sideRecords({ front, back }, found.sides)]);
}

/**
 * What is to become of the darts: released as far as the waist needs it, held, closed (all, or those of one piece), or
 * held unless they are too small to sew.
 */
export const DARTS_WANTED = ['release', 'hold', 'close', 'close-front', 'close-back', 'close-small'] as const;
export type DartsWanted = (typeof DARTS_WANTED)[number];

function wantedFates(
  wanted: Exclude<DartsWanted, 'release'>,
  intakes: readonly number[],
  frontCount: number,
): DartFate[] {
  const closes = (intake: number, i: number): boolean => {
    switch (wanted) {
      case 'hold':
        return false;
      case 'close':
        return true;
      case 'close-front':
        return i < frontCount;
      case 'close-back':
        return i >= frontCount;
      case 'close-small':
        return intake < DART_INTAKE_MM_MIN;
    }
  };
  return intakes.map((intake, i) => (closes(intake, i) ? 'closed' : 'held'));
}

interface Found {
  readonly sides: Sides;
  readonly releases: readonly number[];
  readonly outMm: number;
}

// What is given changes the waist by nearly its own amount. The first step takes it for that; those after it divide by
// what the step before has shown.
function search(
  from: Sides,
  targetMm: number,
  intakes: readonly number[],
  fates: readonly DartFate[],
  missingMm: number,
): Found | undefined {
  const frontCount = from.front.waist.darts.length;
  let given: Trial = { atMm: missingMm, rate: 1 };
  let backUpMm = 0;
  for (let step = 0; step < STEPS_MAX; step++) {
    const { releases, sideMm } = releasesFor(given.atMm, intakes, fates);
    const split = { front: releases.slice(0, frontCount), back: releases.slice(frontCount) };
    const sides = movedSides(from, { releases: split, outMm: sideMm / 2, backUpMm });
    const waistOffMm = targetMm - waistMm(sides.front) - waistMm(sides.back);
    const seamOffMm = outseamMm(sides.front) - outseamMm(sides.back);
    if (Math.abs(waistOffMm) <= EQUAL_MM && Math.abs(seamOffMm) <= EQUAL_MM) {
      return { sides, releases, outMm: sideMm / 2 };
    }
    given = nextTrial(given, waistOffMm);
    backUpMm += seamOffMm;
  }
  return undefined;
}

/** What to give the waist next, and how much of a millimetre given the waist has shown so far. */
interface Trial {
  readonly atMm: number;
  readonly rate: number;
  readonly before?: { readonly atMm: number; readonly offMm: number };
}

function nextTrial({ atMm, rate, before }: Trial, offMm: number): Trial {
  const shown = before === undefined ? rate : (before.offMm - offMm) / (atMm - before.atMm);
  // Two places closer than rounding, or on both sides of a dart that closes, show nothing.
  const trusted = shown > 0.5 && shown < 2 ? shown : rate;
  return { atMm: atMm + offMm / trusted, rate: trusted, before: { atMm, offMm } };
}

function movedSides(from: Sides, { releases, outMm, backUpMm }: Move): Sides {
  const released = (side: SideAndWaist, byMm: readonly number[]): SideAndWaist => ({
    ...side,
    waist: releaseAll(side.waist, byMm),
  });
  return {
    front: sideMoved(released(from.front, releases.front), { upMm: 0, outMm }),
    back: sideMoved(released(from.back, releases.back), { upMm: backUpMm, outMm }),
  };
}

// From the centre to the side: a dart that closes then leaves the places of the others.
function releaseAll(waist: WaistLine, byMm: readonly number[]): WaistLine {
  return byMm.reduceRight(
    (released, release, i) => (release > 0 ? releaseDart(released, i, release) : released),
    waist,
  );
}

function dartRecords(darts: readonly ReleasedDart[]): Moved[] {
  return darts
    .filter(({ releasedMm }) => releasedMm > 0)
    .map(({ piece, intakeMm: beforeMm, releasedMm, fate }) => ({
      operation: fate === 'closed' ? 'close dart' : 'release dart',
      piece,
      part: 'dart',
      byMm: -releasedMm,
      beforeMm,
      afterMm: beforeMm - releasedMm,
    }));
}

function sideRecords(before: Sides, after: Sides): Moved[] {
  return (['front', 'back'] as const)
    .filter((role) => sideMoveMm(before[role], after[role]) > EQUAL_MM)
    .map((role) => ({
      operation: 'resize girth',
      piece: role,
      part: 'side waist',
      byMm: sideMoveMm(before[role], after[role]),
      from: sideWaistOf(before[role]),
      to: sideWaistOf(after[role]),
    }));
}

function notReached(missingMm: number): ReturnType<typeof refused> {
  const numbers: Finding['numbers'] = { missingMm };
  return refused({
    code: 'WAIST_NOT_REACHED',
    message: `The waist seam cannot be brought back by the ${mm(Math.abs(missingMm))} it changed.`,
    action: 'Use smaller rise extensions or a smaller drop, or leave the waist and cut the band to it.',
    place: { part: 'waist' },
    numbers,
  });
}
